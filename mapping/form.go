package mapping

import (
	"slices"
	"strings"

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

// formRow is what sets one form apart from the others.
type formRow struct {
	form Form
	kind fhir.BundleType
	// requests: each entry asks a server for something. A reference may then be a
	// search; R4 allows that in transactions only.
	requests bool
}

var formRows = []formRow{
	{form: Transaction, kind: fhir.BundleTypeTransaction, requests: true},
}

func rowOfForm(f Form) *formRow {
	if i := slices.IndexFunc(formRows, func(row formRow) bool { return row.form == f }); i >= 0 {
		return &formRows[i]
	}
	return nil
}

func formNames() string {
	var names []string
	for _, row := range formRows {
		names = append(names, string(row.form))
	}
	return strings.Join(names, ", ")
}
