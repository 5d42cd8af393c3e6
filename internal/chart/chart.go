// Package chart is the main job as one function: a session sheet in, an audited
// bundle and findings out.
//
// The way is that of the house: text, strict tree, session of facts, traces, what the
// site supplies, what is computed from the traces, derivation, cross-field checks, standing against the
// bundle last accepted, FHIR bytes, audit. Nothing is given out for a sheet with
// a finding of severity error; the audit runs on the very bytes that are given
// out. The package opens no file but the traces that a sheet names, and those
// through Options.Open.
package chart

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"saltmark/internal/audit"
	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/illustrate"
	"saltmark/internal/picture"
	"saltmark/internal/schema"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Options say how sheets are charted.
type Options struct {
	Site *site.Settings
	// Software is the program's name and version for the provenance.
	Software mapping.Software
	// Previous gives the session of the bundle that the record last accepted, nil
	// where there is none; the error says why one that is there cannot be used.
	Previous func(id string) (*record.Session, error)
	// Open gives the bytes of a file that a sheet names; nil refuses traces.
	Open func(name string) ([]byte, error)
	// Curves writes the traces into the bundle.
	Curves bool
	// Pictures draws the recordings of a session as a further form of its report.
	Pictures bool
	// Form and Mode are what sessions are written as, and how; "" is what the settings
	// say. Another form than theirs drops what it cannot have (mapping.Options.In).
	Form mapping.Form
	Mode mapping.Mode

	// made is what follows from the above for all sheets (Prepare).
	made *prepared
}

// prepared is what follows from the settings once, and is the same for every sheet.
type prepared struct {
	write  mapping.Options
	limits sheet.Limits
	shapes schema.Memory
	// refused says why nothing is charted under these settings.
	refused finding.List
}

// Prepare works out once what every sheet needs of the settings. Options that are
// not prepared serve too.
func (o Options) Prepare() Options {
	if o.made != nil {
		return o
	}
	o.made = &prepared{write: o.writing(), limits: o.Site.Limits(), refused: o.Site.Approved()}
	return o
}

// writing gives what mapping.Write needs to know, the hash of the sheet left out.
func (o Options) writing() mapping.Options {
	write := o.Site.Mapping()
	write.Software = o.Software
	write.Curves = o.Curves
	write.TableHash = measure.TableHash()
	if o.Form != "" {
		write = write.In(o.Form)
	}
	if o.Mode != "" {
		write.Mode = o.Mode
	}
	return write
}

// Writes gives the form in which sessions are written. The error says which form,
// mode or reference mode there is not, or which two contradict each other.
func (o Options) Writes() (mapping.Form, error) {
	write := o.writing()
	return cmp.Or(write.Form, mapping.Transaction), write.Check()
}

// Result is what became of one sheet.
type Result struct {
	// Name is that of the sheet as it was given.
	Name string
	// ID is the session's, "" where the sheet does not tell.
	ID       string
	Revision int
	// Bundle is the audited text, nil where a finding of severity error stands
	// against it.
	Bundle []byte
	// Session is what was charted, as far as it was read.
	Session *record.Session
	// Beside holds what was computed from the curves beside what was reported; nil where
	// the sheet names no curves.
	Beside   []derive.Beside
	computed []derive.Computed
	// Held says why a verified session stays preliminary.
	Held []mapping.Held
	// Findings are sorted by place.
	Findings finding.List
}

// Sheet charts one sheet.
func Sheet(name string, text []byte, o Options) Result {
	r := Result{Name: name}
	r.chart(text, o.Prepare())
	if r.Findings.HasErrors() {
		r.Bundle = nil
	}
	r.Findings.Sort()
	return r
}

// chart goes the whole way, and stops where going on would only repeat a fault
// in other words.
func (r *Result) chart(text []byte, o Options) {
	s := r.read(text, o)
	if s == nil {
		return
	}
	computed := derive.Curves(s)
	r.add(derive.ApplyComputed(s, computed))
	r.computed, r.Beside = computed, derive.Compare(s, computed)
	if r.add(sheet.Check(s, o.made.limits)) {
		return
	}
	r.Held = mapping.Hold(s)
	previous, found := previousOf(s, o)
	if r.add(found) || r.add(mapping.Settle(s, previous)) {
		return
	}
	r.add(heldBack(s, r.Held))
	r.write(s, previous, hashOf(text), o)
}

// read gives the session of a sheet, with what the settings supply and the recordings;
// nil where an error stands against one of them.
func (r *Result) read(text []byte, o Options) *record.Session {
	if r.add(o.made.refused) {
		return nil
	}
	doc, found := source.Read(r.Name, text, source.SheetLimits())
	if r.add(found) || doc == nil || doc.Root == nil {
		return nil
	}
	s, found := sheet.Read(doc)
	if s != nil {
		r.ID, r.Revision, r.Session = s.ID, s.Revision, s
	}
	if r.add(found) || s == nil {
		return nil
	}
	if r.add(o.Site.Admit(s, sheet.VersionOf(doc))) || r.add(o.Site.Check(s)) || r.add(addTraces(s, sheet.Traces(doc), o)) || r.add(o.Site.Complete(s)) {
		return nil
	}
	return s
}

// Traced reads a sheet with its recordings and derives what follows, for those who look
// at the recordings: what stands against the session as a whole is said by Sheet. The
// session is nil where it cannot be read.
func Traced(name string, text []byte, o Options) (*record.Session, finding.List) {
	r := Result{Name: name}
	s := r.read(text, o.Prepare())
	if s != nil {
		derive.Apply(s)
	}
	r.Findings.Sort()
	return s, r.Findings
}

// previousOf looks up what the record last accepted. What is there and cannot be
// used is never taken for nothing: the session would begin anew.
func previousOf(s *record.Session, o Options) (*record.Session, finding.List) {
	if o.Previous == nil {
		return nil, nil
	}
	previous, err := o.Previous(s.ID)
	if err != nil {
		return nil, finding.List{finding.New("previous-unusable", s.Places.Fields["session.id"], finding.Say("the bundle that the record last accepted cannot be used: {1}", finding.Of(err)), "", "the bundle as this program wrote it is wanted")}
	}
	return previous, nil
}

// heldBack says why a session that somebody verified is not final.
func heldBack(s *record.Session, held []mapping.Held) finding.List {
	if s.ReportStatus != record.Preliminary {
		return nil
	}
	var found finding.List
	for _, h := range held {
		found = append(found, finding.New("held-preliminary", s.Places.Fields["verified.by"], "the report is preliminary though it is verified", "", h.Words.Text()))
	}
	return found
}

// write makes the bytes and audits them. What a bundle without single injections
// cannot prove of itself is proved before they are left out.
func (r *Result) write(s, previous *record.Session, sheetHash string, o Options) {
	write := o.made.write.Keeping(previous)
	write.SourceHash = sheetHash
	if o.Pictures {
		write.Picture = drawing(s, r.computed, write.Language)
	}
	if r.add(mapping.Refuse(s, write)) {
		return
	}
	if write.Injections == mapping.InjectionsNone {
		whole := write
		whole.Injections = mapping.InjectionsSeparate
		if _, found := r.audited(s, whole, o); r.add(onlyErrors(found)) {
			return
		}
	}
	bundle, found := r.audited(s, write, o)
	r.Bundle = bundle
	r.add(found)
}

// drawing gives the picture of a settled session with its conclusion, nil where it has
// no recording.
func drawing(s *record.Session, computed []derive.Computed, l measure.Language) []byte {
	if len(computed) == 0 {
		return nil
	}
	return picture.SVG(illustrate.Session(s, computed, illustrate.Options{Language: l, Conclusion: mapping.Conclusion(s, l)}))
}

// audited gives the bytes of a session, and what the audit finds in them.
func (r *Result) audited(s *record.Session, write mapping.Options, o Options) ([]byte, finding.List) {
	bundle, err := mapping.Write(s, write)
	if err != nil {
		return nil, finding.List{finding.New("chart-not-written", finding.Place{File: r.Name}, finding.Say("the session could not be written: {1}", finding.Of(err)), "", "this is a fault of the program; please report it with the rule's name")}
	}
	found := audit.CheckText(r.Name+".bundle", bundle, write.Form, audit.Options{Fresh: true, Shapes: &o.made.shapes})
	return bundle, withOrigins(found, bundle, write.Form, s.Places)
}

func onlyErrors(found finding.List) finding.List {
	return slices.DeleteFunc(found, func(f finding.Finding) bool { return f.Severity != finding.Error })
}

// add keeps findings and tells whether one of them is an error.
func (r *Result) add(found finding.List) bool {
	r.Findings = append(r.Findings, found...)
	return found.HasErrors()
}

func hashOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
