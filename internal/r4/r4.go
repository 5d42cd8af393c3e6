// Package r4 holds the writing of FHIR R4 (4.0.1) resources and small tools for
// reading them as trees.
//
// Writing: Encode is the only way a resource becomes bytes. It takes the model
// types of samply/golang-fhir-models and writes them through their method-less
// twins, resourceType first, markup as it is, the same bytes each time, and it
// refuses a result that FHIR's JSON forbids: null, an empty object, list or text,
// which is how the models write a required element that was left unset. What it
// cannot see is an enum left at its zero value, a real code (registered, document,
// GET): set every one by name. Decimals come from Number alone; an empty json.Number
// would be written as 0.
//
// Reading: foreign resources are trees of package source, never model types, which
// lose contained resources, extensions of primitives and unknown members without a
// word.
//
// It refuses to know what is charted: no measure, no code but UCUM's system, no
// profile. Sources: HL7 FHIR R4 4.0.1 (data types, JSON format, references), RFC
// 9562 (UUID version 5), RFC 3986 (percent-encoding).
//
// Limits: the model types whose mandatory choice has several Go fields
// (CompositionRelatesTo and four more) write all of them, and Encode refuses that;
// a quantity comparator, which saltmark never charts, is written with its sign
// escaped (\u003c).
package r4
