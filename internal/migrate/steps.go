package migrate

import (
	"strconv"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// step leads from one version of a format to the next.
type step struct {
	key  string // that says the version
	from int
	// asks gives what must be answered and is not; nil where the file knows all.
	asks func(Answers) *Unanswered
	// change writes the change into the text, and into a copy of the tree as it is to
	// be; a reason not to is returned.
	change func(e *edit, a Answers) finding.Text
}

// steps is the table. Every version that was ever released has its row, and keeps it.
func steps() []step {
	return []step{
		{"saltmark", 1, askTest, labelTest},
		{"saltmark-site", 1, nil, nameEnvironment},
	}
}

func askTest(a Answers) *Unanswered {
	if a.Test == "yes" || a.Test == "no" {
		return nil
	}
	return &Unanswered{Answer: "test", Because: "a sheet of version 1 cannot say whether its session is test data"}
}

// labelTest: version 2 of the sheet says in session.test that a session is test data.
// Of one that is not, nothing has to be said.
func labelTest(e *edit, a Answers) finding.Text {
	session := e.doc.Root.Get("session")
	switch {
	case session == nil || len(session.Members) == 0:
		return "session has no members"
	case session.Get("test") != nil:
		return "session.test stands in it already"
	case a.Test == "yes":
		return e.insert("session", text("test", "yes"))
	}
	return ""
}

// nameEnvironment: version 2 of the settings names the environment; in version 1
// settings were those of production unless test-data said "yes". Settings of
// production are then to be approved, which is a person's to do.
func nameEnvironment(e *edit, _ Answers) finding.Text {
	old := e.doc.Root.Get("test-data")
	switch {
	case e.doc.Root.Get("environment") != nil:
		return "environment stands in it already"
	case old == nil:
		return e.insertBehind("saltmark-site", text("environment", "production"))
	case old.Kind == source.String && old.Text == "yes":
		return e.replace("test-data", text("environment", "test"))
	case old.Kind == source.String && old.Text == "no":
		return e.replace("test-data", text("environment", "production"))
	}
	return "test-data is neither yes nor no"
}

// text gives a member with a text.
func text(name, value string) source.Member {
	return source.Member{Name: name, Value: &source.Node{Kind: source.String, Text: value}}
}

// take takes the step: the change, the number of the version, and the proof that
// nothing else is different.
func (s *step) take(doc *source.Document, a Answers) (*source.Document, *finding.Finding) {
	e := newEdit(doc)
	why := s.change(e, a)
	if why == "" {
		why = e.replaceNumber(s.key, strconv.Itoa(s.from+1))
	}
	if why != "" {
		f := byHand(doc, s.key, why)
		return nil, &f
	}
	next, list := source.Read(doc.Name, e.result(), source.SheetLimits())
	if list.HasErrors() || !same(next.Root, e.want) {
		f := byHand(doc, s.key, noRoom)
		return nil, &f
	}
	return next, nil
}
