package site

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// Approval says who takes responsibility for the settings of production: a claim, as
// a typed verifier is, that holds for these very decisions and this table of measures.
type Approval struct {
	By string
	At record.Time
	// SHA256 is the ApprovalHash of what was approved.
	SHA256 string
}

// Approved judges whether patients may be charted under the settings: those of a test
// need no approval, those of production that of what is in force.
func (t *Settings) Approved() finding.List {
	want := t.ApprovalHash()
	switch {
	case t.Test || t.Approval.SHA256 == want:
		return nil
	case t.Approval == Approval{}:
		return finding.List{finding.New("settings-not-approved", t.file(), "the settings are those of production, and nobody has approved them", "",
			finding.Say(`whoever answers for them reads what "saltmark site check" prints and writes approved into the file, with by, at and sha256: {1}`, finding.Data(want)))}
	}
	return finding.List{finding.New("settings-changed", t.placeOf("approved", "sha256"), "approved.sha256 is {}, which is not that of these settings and this table of measures", t.Approval.SHA256,
		finding.Say(`the settings changed since, which "saltmark site diff" shows, or the table, with the version of the program; once approved anew, sha256 is {1}`, finding.Data(want)))}
}

// file is the place of the settings as a whole.
func (t *Settings) file() finding.Place {
	if t.doc == nil {
		return finding.Place{}
	}
	return t.doc.Place(t.doc.Root, "")
}

// approval reads who approved the settings.
func (r *reader) approval() {
	n := r.doc.Root.Get("approved")
	if n == nil {
		return
	}
	at := n.Get("at")
	r.t.Approval = Approval{By: n.Get("by").Text, At: record.Time(at.Text), SHA256: n.Get("sha256").Text}
	r.date(at, source.Pointer("approved", "at"))
}
