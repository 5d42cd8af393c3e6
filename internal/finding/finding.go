// Package finding holds what can be wrong with data: a rule, how severe it is,
// where it was seen, what was found and what is allowed.
//
// A finding is about data. That the work could not be done at all (a file, the
// network, a bug) is an ordinary Go error and never a finding. Findings are
// collected, not returned one by one, and leave a package sorted.
//
// The package knows no rule by heart: rules.md has a page for every rule,
// in a form that is read here; New looks the severity up there.
//
// What a finding says is a Text: an English template with its arguments, said in
// the language of whoever reads it. german.tsv holds the German templates.
package finding

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/language"
)

// Severity says what a finding means for the work. The zero value is unset and
// must not leave a package.
type Severity uint8

// The severities, from mild to grave. Only Error keeps a document from being
// written.
const (
	Info Severity = iota + 1
	Warning
	Error
)

// String gives the word that reports use.
func (s Severity) String() string { return string(s.words()) }

// words gives the severity as a person reads it.
func (s Severity) words() Text {
	switch s {
	case Info:
		return "information"
	case Warning:
		return "warning"
	case Error:
		return "error"
	}
	return "unset"
}

// Place says where something stands: a file, a line and a column counted from
// one (0 where unknown; columns count characters), and a JSON pointer (RFC 6901)
// into the document, "" being the whole of it.
type Place struct {
	File    string
	Line    int
	Column  int
	Pointer string
}

// String gives file:line:column, file#pointer where no line is known, or what
// there is of them.
func (p Place) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	switch {
	case p.Line > 0:
		b.WriteString(":" + strconv.Itoa(p.Line))
		if p.Column > 0 {
			b.WriteString(":" + strconv.Itoa(p.Column))
		}
	case p.Pointer != "":
		b.WriteString("#" + p.Pointer)
	}
	return b.String()
}

// Finding is one fault of one piece of data.
//
// Found and Allowed are parts of a sentence. In Found, "{}" stands for Value, so
// that a private value (of a person, an identifier, free text) can be left out of
// logs and reports while the sentence stays whole.
type Finding struct {
	Rule     string
	Severity Severity
	Place    Place
	// Root is the type of the FHIR resource that the pointer of Place leads into
	// ("Bundle"), "" where it leads into a text of ours or into no tree at all.
	Root string
	// Origin is the place in the session sheet that Place was made from, when
	// Place is in something that was written from a sheet.
	Origin  Place
	Found   Text
	Value   string
	Private bool
	Allowed Text
}

// New makes a finding of a rule of rules.md, with the severity given there.
// found may hold "{}" where value belongs.
func New(rule string, place Place, found Text, value string, allowed Text) Finding {
	return Finding{Rule: rule, Severity: severityOf(rule), Place: place, Found: found, Value: value, Allowed: allowed}
}

// Hide marks the value as private.
func (f Finding) Hide() Finding { f.Private = true; return f }

// HideProse marks the value as private unless it looks like a code, a number, a unit or
// a time: what does not may be anything.
func (f Finding) HideProse() Finding {
	const allowed = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.:+-_%/*[](){}'"
	f.Private = f.Private || len(f.Value) > 32 || strings.Trim(f.Value, allowed) != ""
	return f
}

// Sentence gives in English what was found and what is allowed. A private value is
// shown only when showValues is true. Control and bidirectional characters of the
// input never come out raw.
func (f Finding) Sentence(showValues bool) string {
	return f.SentenceIn(language.English, showValues)
}

// SentenceIn is Sentence in a language.
func (f Finding) SentenceIn(l language.Language, showValues bool) string {
	s := f.FoundIn(l, showValues)
	if f.Allowed != "" {
		s += "; " + f.Allowed.In(l)
	}
	return s
}

// FoundIn gives in a language what was found.
func (f Finding) FoundIn(l language.Language, showValues bool) string {
	s := speaker{language: l, private: showValues}
	s.value = Quote(f.Value)
	if f.Private && !showValues {
		s.value = s.say(notShown)
	}
	return s.say(f.Found)
}

// Text gives the one-line form in English: place, rule, severity and sentence.
func (f Finding) Text(showValues bool) string { return f.TextIn(language.English, showValues) }

// TextIn is Text in a language.
func (f Finding) TextIn(l language.Language, showValues bool) string {
	s := f.Rule + " " + f.Severity.words().In(l) + ": " + f.SentenceIn(l, showValues)
	if p := f.Place.String(); p != "" {
		s = p + " " + s
	}
	if o := f.Origin.String(); o != "" {
		s += Say(" (from {1})", Data(o)).In(l)
	}
	return s
}

// Told gives the one-line form as a Text, for a finding about another; a private
// value is left out of it.
func (f Finding) Told() Text {
	value := Quoted(f.Value)
	if f.Private {
		value = notShown
	}
	told := valued(value, f.Found)
	if f.Allowed != "" {
		told = Say("{1}; {2}", told, f.Allowed)
	}
	told = Say("{1} {2}: {3}", Data(f.Rule), f.Severity.words(), told)
	if p := f.Place.String(); p != "" {
		told = Say("{1} {2}", Data(p), told)
	}
	return told
}

// List is a set of findings about the same work.
type List []Finding

// Sort orders the list by place, then rule, then words, and drops exact
// repetitions, so that the same input gives the same report.
func (l *List) Sort() {
	slices.SortStableFunc(*l, compare)
	*l = slices.Compact(*l)
}

// Worst gives the gravest severity of the list, 0 when it is empty.
func (l List) Worst() Severity {
	var worst Severity
	for _, f := range l {
		worst = max(worst, f.Severity)
	}
	return worst
}

// HasErrors tells whether the list holds a finding of severity Error.
func (l List) HasErrors() bool { return l.Worst() == Error }

func compare(a, b Finding) int {
	if c := cmp.Or(
		cmp.Compare(a.Place.File, b.Place.File),
		cmp.Compare(a.Place.Line, b.Place.Line),
		cmp.Compare(a.Place.Column, b.Place.Column),
		cmp.Compare(a.Place.Pointer, b.Place.Pointer),
		cmp.Compare(a.Rule, b.Rule),
	); c != 0 {
		return c
	}
	// By the English words, whatever the language of the reader, so that the order
	// is one.
	return cmp.Or(compareTexts(a.Found, b.Found), cmp.Compare(a.Value, b.Value), compareTexts(a.Allowed, b.Allowed))
}

func compareTexts(a, b Text) int {
	if a == b {
		return 0
	}
	return cmp.Or(cmp.Compare(a.String(), b.String()), cmp.Compare(a, b))
}
