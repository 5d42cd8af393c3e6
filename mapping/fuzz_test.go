package mapping_test

import (
	"regexp"
	"testing"

	"saltmark/mapping"
	"saltmark/mapping/record"
)

// small is a session with next to nothing in it: the fuzzer works on short texts.
func small() *record.Session {
	s := plain()
	s.Test, s.Devices = false, nil
	facts := s.Facts[:0]
	for _, f := range s.Facts {
		if f.Measure == "weight" || f.Measure == "agreement-tolerance" || f.About.Kind == "injection" && f.About.Key == "1" {
			facts = append(facts, f)
		}
	}
	s.Facts = facts
	return s
}

// readAgain reads a text, and what was read without an error once more.
func readAgain(t *testing.T, text []byte) {
	s, findings := mapping.Read("fuzz.json", text)
	if s == nil || findings.HasErrors() {
		return
	}
	again, err := mapping.Write(s, everything)
	if err != nil {
		return
	}
	if _, findings = mapping.Read("again.json", again); findings.HasErrors() {
		t.Fatal(findings[0].Text(true))
	}
}

// FuzzRead: no panic, no hang, whatever the text.
func FuzzRead(f *testing.F) {
	for _, text := range []string{
		`{}`, `[]`, `{"resourceType":"Bundle","type":"transaction","entry":[null,1,{"resource":null},{"resource":[]}]}`,
		`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Observation","identifier":[{"value":"a/session/session-panel"}],"code":{"coding":[{"system":"b/CodeSystem/measures"}]}}}]}`,
		`{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Observation","identifier":[{"system":"s","value":"a/session/weight/stated"}],"code":{"coding":[{"system":"b/CodeSystem/measures"}]},"valueQuantity":{"value":1},"component":[{"code":[]}],"derivedFrom":[{}]}}]}`,
		"{\"resourceType\":\"Device\"}\n{\"resourceType\":\"Provenance\"}",
		"{\"resourceType\":\"Observation\",\"identifier\":[{\"system\":\"s\",\"value\":\"a/session/weight/stated\"}]}\n\n{\"resourceType\":\"Provenance\"}\n[",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(readAgain)
}

// literal is a string, a number or a truth in JSON that is no name of a member.
var literal = regexp.MustCompile(`[:\[,]("(?:[^"\\]|\\.)*"|-?[0-9.]+|true|false)[,}\]]`)

// FuzzReadOneChange: the same for good bundles in which one value is another.
func FuzzReadOneChange(f *testing.F) {
	withdrawn := everyValue()
	withdrawn.Withdrawal = record.Withdrawal{By: "demo-person-1", At: clock("18:00"), Reason: "wrong child"}
	var texts [][]byte
	var places [][][]int
	for _, s := range []*record.Session{small(), plain(), withdrawn} {
		settled(f, s, nil)
		for _, form := range mapping.Forms() {
			text := write(f, s, everything.In(form))
			texts, places = append(texts, text), append(places, literal.FindAllSubmatchIndex(text, -1))
		}
	}
	for i, value := range []string{`"demo-2031-0001/injection-1/blood-flow/reported"`, `"Qs"`, `null`, `[]`, `{}`, `1e9`, `"entered-in-error"`, `"mL"`, `"2031-05-03"`} {
		f.Add(uint8(i), uint16(17*i), value)
	}
	f.Fuzz(func(t *testing.T, which uint8, place uint16, value string) {
		text := texts[int(which)%len(texts)]
		all := places[int(which)%len(texts)]
		at := all[int(place)%len(all)]
		readAgain(t, append(append(append([]byte{}, text[:at[2]]...), value...), text[at[3]:]...))
	})
}
