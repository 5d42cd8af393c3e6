package sheet

import (
	"strings"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// lesionLevels says at which level each lesion lies (anatomy textbooks).
var lesionLevels = map[string]string{
	"patent-duct": measure.Ductal, "patent-foramen": measure.Atrial, "atrial-defect": measure.Atrial,
	"ventricular-defect": measure.Ventricular, "collaterals": measure.Aortopulmonary,
	"window": measure.Aortopulmonary, "surgical-shunt": measure.Aortopulmonary,
}

// levels judges what is said of each level of a shunt.
func (j *judge) levels() {
	for _, level := range measure.Levels {
		thing := record.Thing{Kind: measure.Level, Key: level}
		state := j.s.Get(thing, levelState)
		if state == nil {
			continue
		}
		direction := j.s.Get(thing, levelDirection)
		if direction != nil && state.Value.Code != "open" {
			j.add("level-direction", j.place(direction.Ref), finding.Say("{1} is {} at a level that is {2}", j.called(direction.Ref), finding.Data(state.Value.Code)), direction.Value.Code, "only an open level has a direction")
		}
		if j.s.Get(thing, "level-seen") == nil && state.Value.Code != "not-seen" && j.whole {
			j.add("level-without-time", j.place(state.Ref), finding.Say("{1} is {} and nothing says when that was seen", j.called(state.Ref)), state.Value.Code, "shunt.seen is wanted, or seen beside the state")
		}
		if lesion := j.s.Get(thing, "level-lesion"); lesion != nil && lesionLevels[lesion.Value.Code] != level {
			j.add("lesion-level", j.place(lesion.Ref), finding.Say("{1} is {}", j.called(lesion.Ref)), lesion.Value.Code, finding.Say("this lesion lies at the {1}", measure.LevelWords(lesionLevels[lesion.Value.Code])))
		}
	}
}

// anatomy asks for words where there are not two ventricles.
func (j *judge) anatomy() {
	f := j.s.Get(record.TheSession, "anatomy")
	if f != nil && f.Value.Code == "other-anatomy" && j.s.Get(record.TheSession, "anatomy-text") == nil && j.whole {
		j.add("anatomy-text", j.place(f.Ref), finding.Say("{1} is {} and shunt.anatomy-text is missing", j.called(f.Ref)), f.Value.Code, "another anatomy is said in words")
	}
}

// answer judges who answered a contradicting sign, and when.
func (j *judge) answer() {
	by := j.s.Get(record.TheSession, "sign-answer-by")
	if by != nil && j.s.Verification.By != "" && by.Value.Text != j.s.Verification.By {
		j.addHidden("sign-answer-person", j.place(by.Ref), finding.Say("{1} is {}", j.called(by.Ref)), by.Value.Text, "the verifier answers a contradicting sign")
	}
	at := j.s.Get(record.TheSession, "sign-answer-at")
	if _, last := j.lastInjection(); at != nil && last != "" && at.Value.Time.Before(last) {
		j.add("sign-answer-time", j.place(at.Ref), finding.Say("{1} is {}", j.called(at.Ref)), string(at.Value.Time), finding.Say("it must not lie before the last injection, {1}", finding.Data(string(last))))
	}
}

// catheters judges that blood is taken from an artery and given into a vein.
func (j *judge) catheters() {
	for _, c := range []struct {
		key, kind string
		wanted    finding.Text
	}{
		{"arterial", "artery", "the arterial catheter of the loop lies in an artery"},
		{"venous", "vein", "the venous catheter of the loop lies in a vein"},
	} {
		f := j.s.Get(record.Thing{Kind: measure.Catheter, Key: c.key}, "catheter-vessel")
		if f != nil && strings.Contains(f.Value.Code, "-") && !strings.HasSuffix(f.Value.Code, "-"+c.kind) && f.Value.Code != "other-vessel" {
			j.add("catheter-vessel", j.place(f.Ref), finding.Say("{1} is {}", j.called(f.Ref)), f.Value.Code, c.wanted)
		}
	}
}
