// Package mapping writes a settled session as a FHIR R4 bundle and reads such a
// bundle back: Read(Write(s)) is s again, places aside.
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
//
// Every own resource has a business identifier made of the session, the thing, the
// measure and the origin (identity.go), never of a code or a label; the UUID of its
// fullUrl follows from it.
//
// Sources: HL7 FHIR R4 4.0.1 (resources, bundles, search, vital signs), HL7
// Terminology (categories, data-absent-reason, provenance), LOINC, DICOM and UCUM
// codes as internal/terms has them.
//
// Limits: one form, the transaction in which each own resource is updated by its
// identifier (PUT Type?identifier=); what a form leaves out (traces, comparators,
// single injections, by options) cannot be read back from it. Words are English.
package mapping
