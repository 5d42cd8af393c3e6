// Package mapping writes a settled session as FHIR R4, in one of several forms, and
// reads any of them back: Read(Write(s)) is s again, places aside.
//
// Write is a pure function of session and options: same input, same bytes. It
// knows how facts become resources (rows of the table of measures say where, the
// session's flow label says under which codes) and nothing of sheets, of how
// values are derived, or of servers. Settle gives facts and report their statuses,
// alone or against the revision that the record accepted before.
//
// What stands for what:
//
//	fact with a place of its own      Observation
//	fact of a row with "in"           component of that row's Observation
//	fact made from others             derivedFrom, an Observation each
//	flow label                        extension, and component flow-stands-for
//	session                           panel, Procedure, DiagnosticReport, Provenance
//	device                            Device; shared ones are only created, never updated
//	patient, encounter, order, people references; never written
//	all of it, as a SHA-256         entity of the Provenance (digest.go)
//
// Every own resource has a business identifier made of the session, the thing, the
// measure and the origin (identity.go), never of a code or a label; the UUID of its
// fullUrl follows from it.
//
// Sources: HL7 FHIR R4 4.0.1 (resources, bundles, search, vital signs), HL7
// Terminology (categories, data-absent-reason, provenance), LOINC, DICOM and UCUM
// codes as internal/terms has them.
//
// Forms (form.go), all of the same resources under the same identities:
//
//	transaction  requests that a server takes whole or not at all; three modes:
//	             conditional  PUT Type?identifier=, no id
//	             by-id        PUT Type/id, the id being the UUID of the identity
//	             create-once  POST with ifNoneExist; verified first revisions only
//	collection   the resources with ids and nothing asked; references urn:uuid
//	document     a collection under a Composition
//	ndjson       one resource on each line, references Type/id; no Bundle
//
// Shared devices are only created in a transaction, whatever its mode, and have no id
// there. Comparators are in every form but the transaction, where the options ask for
// them. What forms and options leave out (traces, single injections, comparators, the
// encounter, by options) cannot be read back.
//
// What a bundle says in words, it says in one language (Options.Language), which its
// report names; nothing that is read back hangs on them (phrases.go).
//
// Limits: a Composition has the status amended for corrected.
package mapping
