package mapping_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"saltmark/internal/schema"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// ways gives every form, mode and pair of reference modes that go together.
func ways() []mapping.Options {
	references := []mapping.ReferenceMode{mapping.Search, mapping.Logical, mapping.Literal, mapping.None}
	var all []mapping.Options
	for _, form := range mapping.Forms() {
		for _, mode := range mapping.Modes() {
			for _, subject := range references {
				for _, encounter := range references {
					o := everything
					o.Form, o.Mode, o.Subject, o.Encounter = form, mode, subject, encounter
					if o.Check() == nil {
						all = append(all, o)
					}
				}
			}
		}
	}
	return all
}

func wayName(o mapping.Options) string {
	return fmt.Sprintf("%s %s %s %s", o.Form, o.Mode, o.Subject, o.Encounter)
}

func TestEveryFormModeAndReferenceModeThatGoTogetherAreWritten(t *testing.T) {
	// 3 subjects, 4 encounters and 3 modes in a transaction; elsewhere 2, 3 and 1.
	if n := len(ways()); n != 3*4*3+3*2*3 {
		t.Errorf("%d ways", n)
	}
}

func TestLawWhatIsWrittenIsReadBackInEveryForm(t *testing.T) {
	all := ways()
	rapid.Check(t, func(t *rapid.T) {
		o := rapid.SampledFrom(all).Draw(t, "way")
		s := randomSession(t)
		if rapid.Bool().Draw(t, "withdrawn") {
			s.Withdrawal = record.Withdrawal{By: "demo-person-1", At: "2031-05-04T08:00:00Z", Reason: "wrong sheet"}
		}
		if findings := mapping.Settle(s, nil); len(findings) > 0 {
			t.Fatal(findings)
		}
		text, err := mapping.Write(s, o)
		if refused := mapping.Refuse(s, o); refused.HasErrors() {
			if err == nil || text != nil {
				t.Fatalf("%s was refused and is written all the same", refused[0].Text(true))
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		got, findings := mapping.Read("session", text)
		for _, f := range findings {
			t.Error(f.Text(true))
		}
		want := *s
		want.Facts = slices.Clone(s.Facts)
		want.Sort()
		if o.Encounter == mapping.None {
			want.Encounter = record.Reference{}
		}
		if diff := cmp.Diff(&want, got, noPlaces); diff != "" {
			t.Fatalf("%s\n%s\n%s", wayName(o), diff, text)
		}
	})
}

// documentsOf gives the bundle, or the resource of each line.
func documentsOf(t interface{ Fatal(...any) }, text []byte, o mapping.Options) []*source.Document {
	texts := []string{string(text)}
	if o.Form == mapping.NDJSON {
		texts = strings.Split(string(text), "\n")
	}
	var docs []*source.Document
	for _, one := range texts {
		doc, findings := source.ReadJSON("one.json", []byte(one), source.ResourceLimits())
		if findings.HasErrors() {
			t.Fatal(findings[0].Text(true))
		}
		docs = append(docs, doc)
	}
	return docs
}

func TestLawEveryFormKeepsTheOfficialSchema(t *testing.T) {
	all := ways()
	rapid.Check(t, func(t *rapid.T) {
		o, s := rapid.SampledFrom(all).Draw(t, "way"), random(t)
		if mapping.Refuse(s, o).HasErrors() {
			return
		}
		for _, doc := range documentsOf(t, write(t, s, o), o) {
			for _, f := range schema.CheckFHIR(doc, nil) {
				t.Fatal(f.Text(true))
			}
		}
	})
}

// Every resource has one identity, whatever the form: a session that is loaded in
// another form meets the resources that are there.
func TestLawIdentitiesAreTheSameInEveryForm(t *testing.T) {
	identitiesIn := func(t *rapid.T, text []byte, o mapping.Options) map[string]string {
		all := map[string]string{}
		for _, doc := range documentsOf(t, text, o) {
			resources := []*source.Node{doc.Root}
			if entries := doc.Root.Get("entry"); entries != nil {
				resources = resources[:0]
				for _, e := range entries.Items {
					resources = append(resources, e.Get("resource"))
				}
			}
			for i, r := range resources {
				uuid := ""
				if id := r.Get("id"); id != nil {
					uuid = id.Text
				}
				if entries := doc.Root.Get("entry"); entries != nil {
					full := strings.TrimPrefix(entries.Items[i].Get("fullUrl").Text, "urn:uuid:")
					if uuid != "" && uuid != full {
						t.Fatalf("the id is %s, the fullUrl %s", uuid, full)
					}
					uuid = full
				}
				for _, id := range mapping.Identifiers(r) {
					all[r.Get("resourceType").Text+" "+id.Get("value").Text] = uuid
				}
			}
		}
		return all
	}
	rapid.Check(t, func(t *rapid.T) {
		s := random(t)
		want := identitiesIn(t, write(t, s, everything), everything)
		for _, form := range []mapping.Form{mapping.Collection, mapping.Document, mapping.NDJSON} {
			o := everything.In(form)
			got := identitiesIn(t, write(t, s, o), o)
			delete(got, "Composition "+s.ID+"/composition")
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("%s: %s", form, diff)
			}
		}
	})
}

func TestWhatIsCreatedOnceIsVerifiedAndNeverRevised(t *testing.T) {
	once := mapping.Options{Mode: mapping.CreateOnce}
	revised, unverified, withdrawn := plain(), plain(), plain()
	first := settled(t, plain(), nil)
	revised.Revision, revised.Verification.Revision = 2, 2
	settled(t, revised, first)
	unverified.Verification = record.Verification{}
	settled(t, unverified, nil)
	withdrawn.Withdrawal = record.Withdrawal{By: "demo-person-1", At: clock("18:00"), Reason: "wrong child"}
	settled(t, withdrawn, nil)
	held := plain()
	put(held, `catheter venous | catheter-tip | liver`)
	settled(t, held, nil)
	for _, test := range []struct {
		name    string
		session *record.Session
		rule    string
	}{
		{"a first revision, verified", first, ""},
		{"a later revision", revised, "create-once-revision"},
		{"nobody has verified it", unverified, "create-once-unfinished"},
		{"withdrawn", withdrawn, "create-once-revision"},
		{"held preliminary though verified", held, "create-once-unfinished"},
	} {
		t.Run(test.name, func(t *testing.T) {
			refused := mapping.Refuse(test.session, once)
			text, err := mapping.Write(test.session, once)
			if test.rule == "" {
				if len(refused) > 0 || err != nil {
					t.Fatal(refused, err)
				}
				return
			}
			if len(refused) != 1 || refused[0].Rule != test.rule || err == nil || text != nil {
				t.Errorf("%v, %v", refused, err)
			}
		})
	}
}
