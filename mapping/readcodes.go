package mapping

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// settleCodes compares the codes of every fact with those that its identity, its
// label and its value ask for, once all facts are known; and leaves out methods
// that go without saying.
func (r *reader) settleCodes() {
	facts := r.session.Facts
	r.coder = newCoder(r.session, r.base)
	stated := codesStated(standingSession(r.session).Facts)
	var wanted []code
	for i := range facts {
		f := &facts[i]
		m := measure.Get(f.Measure)
		at, method := r.coded[i].located, r.coded[i].method
		if at == (located{}) { // an extension, whose address is its code
			continue
		}
		if f.Status.TakenBack() {
			f.Kept = r.coder.keptUnder(f, m, func(codes []code) bool { return r.codedAs(at, codes) })
		}
		wanted = r.coder.of(wanted[:0], f, m)
		if r.compareCodes(f, at, wanted) {
			r.besideOurs(f, m, at)
		}
		if method != stated.usualMethod(f, m) {
			f.Method = method
		}
	}
}

// codedAs tells whether a concept has these codes and no other of our systems.
func (r *reader) codedAs(at located, codes []code) bool {
	n := 0
	for _, coding := range r4.Items(at.node, "coding") {
		c := code{system: r4.Text(coding, "system"), code: r4.Text(coding, "code")}
		if !r.isOurs(c) {
			continue
		}
		if !slices.ContainsFunc(codes, c.is) {
			return false
		}
		n++
	}
	return n == len(codes)
}

// is tells whether two are the same code, whatever their display.
func (c code) is(d code) bool { return c.system == d.system && c.code == d.code }

// compareCodes reports codes of the systems in which we code that are missing, or
// there without right. It tells whether codes of others stand beside them.
func (r *reader) compareCodes(f *record.Fact, at located, wanted []code) (others bool) {
	var found uint
	for _, coding := range r4.Items(at.node, "coding") {
		c := code{system: r4.Text(coding, "system"), code: r4.Text(coding, "code")}
		if !r.isOurs(c) {
			others = true
			continue
		}
		if i := slices.IndexFunc(wanted, c.is); i >= 0 {
			found |= 1 << i
			continue
		}
		r.report("code-identity", coding, at.pointer, finding.Say("{1} has the code {}", finding.Data(f.Measure)), c.code, finding.Say("its identity, label and value ask for {1}", finding.Data(listed(wanted))))
	}
	if found != 1<<len(wanted)-1 {
		r.report("code-identity", at.node, at.pointer, finding.Say("{1} lacks a code", finding.Data(f.Measure)), "", finding.Say("its identity, label and value ask for {1}", finding.Data(listed(wanted))))
	}
	return others
}

func listed(codes []code) string {
	text := ""
	for i, c := range codes {
		if i > 0 {
			text += ", "
		}
		text += c.code
	}
	return text
}
