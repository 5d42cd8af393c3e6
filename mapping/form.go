package mapping

import (
	"slices"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// Form is what a session is written as. The zero value is Transaction.
type Form string

// The forms.
const (
	Transaction Form = "transaction" // a Bundle of requests, which a server takes whole or not at all
	Collection  Form = "collection"  // a Bundle of resources that asks for nothing
	Document    Form = "document"    // a Bundle that begins with a Composition, to be read by people and filed
	NDJSON      Form = "ndjson"      // no Bundle: one resource on each line
)

// Mode is how the requests of a transaction name the resources that a server is to
// write. The zero value is Conditional. Only a transaction has requests.
type Mode string

// The modes.
const (
	Conditional Mode = "conditional" // updated by business identifier: PUT Type?identifier=
	ByID        Mode = "by-id"       // updated by an id that follows from the identity: PUT Type/id
	CreateOnce  Mode = "create-once" // created where there is none: POST with ifNoneExist; never changed
)

// ReferenceMode is how patient or encounter are referred to, where the session names
// them by identifier. A literal reference of the session is written as it is.
type ReferenceMode string

// The reference modes.
const (
	Search  ReferenceMode = "search"  // Patient?identifier=, which the server resolves or refuses; transactions only
	Logical ReferenceMode = "logical" // type and identifier; nobody resolves it
	Literal ReferenceMode = "literal" // Patient/id or an address, which the session must state
	None    ReferenceMode = "none"    // left out; the encounter only
)

// naming says how resources are named and referred to.
type naming struct {
	ids     bool // a resource has the UUID of its identity as id
	literal bool // references are Type/id, not urn:uuid
	shared  bool // so are shared devices and references to them
}

// formRow is what sets one form apart from the others.
type formRow struct {
	form Form
	kind fhir.BundleType
	// requests: each entry asks a server for something, and is named as the mode
	// says. A reference may then be a search; R4 allows that in transactions only.
	requests bool
	// lines: there is no Bundle.
	lines  bool
	naming naming
}

var formRows = []formRow{
	{form: Transaction, kind: fhir.BundleTypeTransaction, requests: true},
	{form: Collection, kind: fhir.BundleTypeCollection, naming: naming{ids: true, shared: true}},
	{form: Document, kind: fhir.BundleTypeDocument, naming: naming{ids: true, shared: true}},
	{form: NDJSON, lines: true, naming: naming{ids: true, literal: true, shared: true}},
}

// modeRow is what sets one mode apart from the others.
type modeRow struct {
	mode   Mode
	naming naming
	// request asks for a resource of the session by its type, its UUID and the
	// search for its identifier.
	request func(kind, uuid, query string) fhir.BundleEntryRequest
}

var modeRows = []modeRow{
	{mode: Conditional, request: updateWhere},
	{mode: ByID, naming: naming{ids: true, literal: true}, request: updateAt},
	{mode: CreateOnce, request: createOnce},
}

func updateWhere(kind, _, query string) fhir.BundleEntryRequest {
	return fhir.BundleEntryRequest{Method: fhir.HTTPVerbPUT, Url: kind + "?" + query}
}

func updateAt(kind, uuid, _ string) fhir.BundleEntryRequest {
	return fhir.BundleEntryRequest{Method: fhir.HTTPVerbPUT, Url: kind + "/" + uuid}
}

func createOnce(kind, _, query string) fhir.BundleEntryRequest {
	return fhir.BundleEntryRequest{Method: fhir.HTTPVerbPOST, Url: kind, IfNoneExist: &query}
}

func rowOfMode(m Mode) *modeRow {
	if i := slices.IndexFunc(modeRows, func(row modeRow) bool { return row.mode == m }); i >= 0 {
		return &modeRows[i]
	}
	return nil
}

func rowOfForm(f Form) *formRow {
	if i := slices.IndexFunc(formRows, func(row formRow) bool { return row.form == f }); i >= 0 {
		return &formRows[i]
	}
	return nil
}

// Forms gives every form, the usual one first.
func Forms() []Form {
	var all []Form
	for _, row := range formRows {
		all = append(all, row.form)
	}
	return all
}

// Modes gives every mode, the usual one first.
func Modes() []Mode {
	var all []Mode
	for _, row := range modeRows {
		all = append(all, row.mode)
	}
	return all
}
