package site

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// Person is somebody whom the settings know, by identifier alone, with what she may
// do in a session and, where the settings say, from which day to which.
type Person struct {
	May         []string // of rights
	From, Until record.Time
}

// rights are what persons do in a session.
var rights = []string{"operate", "verify", "enter", "withdraw"}

// deed is what a person did in a session.
type deed struct {
	path, identifier string
	right            string
	at               record.Time
}

func personsOf(s *record.Session) []deed {
	return []deed{
		{"operator", s.Operator, "operate", s.Start},
		{"verified.by", s.Verification.By, "verify", s.Verification.At},
		{"session.entered.by", s.EnteredBy, "enter", s.EnteredAt},
		{"session.withdrawn.by", s.Withdrawal.By, "withdraw", s.Withdrawal.At},
	}
}

// people reads the persons whom the site knows.
func (r *reader) people() {
	list := r.doc.Root.Get("people")
	if list == nil {
		return
	}
	r.t.People = map[string]Person{}
	for _, member := range list.Members {
		pointer := source.Pointer("people", member.Name)
		var p Person
		for _, item := range member.Value.Get("may").Items {
			p.May = append(p.May, item.Text)
		}
		p.From = r.dayOf(member.Value.Get("from"), pointer+"/from")
		p.Until = r.dayOf(member.Value.Get("until"), pointer+"/until")
		if p.From != "" && p.Until != "" && p.Until < p.From {
			r.add("setting-date", member.Value.Get("until"), pointer+"/until", finding.Say("{1} is {}", finding.Data(dotted(pointer)+".until")), string(p.Until), finding.Say("it must not lie before from, {1}", finding.Data(string(p.From))))
		}
		r.t.People[member.Name] = p
	}
}

func (r *reader) dayOf(n *source.Node, pointer string) record.Time {
	if n == nil || !r.date(n, pointer) {
		return ""
	}
	return record.Time(n.Text)
}

// date judges that a date, with or without a time, is one of the calendar.
func (r *reader) date(n *source.Node, pointer string) bool {
	if _, err := record.Time(n.Text).Parse(); err != nil {
		r.add("setting-date", n, pointer, finding.Say("{1} is {}", finding.Data(dotted(pointer))), n.Text, "a day of the calendar is wanted, for example 2031-05-03")
		return false
	}
	return true
}

// mayDo judges that a person is known and may do what she did on that day. Where the
// settings name nobody, everybody may.
func (t *Settings) mayDo(s *record.Session, d deed) finding.List {
	if t.People == nil || d.identifier == "" {
		return nil
	}
	place := s.Places.Fields[d.path]
	p, known := t.People[d.identifier]
	day := d.at[:min(len(d.at), len("2006-01-02"))]
	var rule string
	var allowed finding.Text
	switch {
	case !known:
		rule, allowed = "person-unknown", "the settings of the site name everybody who works with it; a new person is added there"
	case !slices.Contains(p.May, d.right):
		rule, allowed = "person-may-not", finding.Say("the settings of the site let that person {1}, and not {2}", finding.Commas(finding.Datas(p.May)...), finding.Data(d.right))
	case day != "" && (p.From != "" && day < p.From || p.Until != "" && day > p.Until):
		rule, allowed = "person-may-not", "by the settings of the site that person has no part in it on that day"
	default:
		return nil
	}
	return finding.List{finding.New(rule, place, finding.Say("{1} is {}", finding.Data(d.path)), d.identifier, allowed).Hide()}
}
