package sheet

import (
	"strings"

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
			j.add("level-direction", j.place(direction.Ref), j.called(direction.Ref)+" is {} at a level that is "+state.Value.Code, direction.Value.Code, "only an open level has a direction")
		}
		if j.s.Get(thing, "level-seen") == nil && state.Value.Code != "not-seen" && j.whole {
			j.add("level-without-time", j.place(state.Ref), j.called(state.Ref)+" is {} and nothing says when that was seen", state.Value.Code, "shunt.seen is wanted, or seen beside the state")
		}
		if lesion := j.s.Get(thing, "level-lesion"); lesion != nil && lesionLevels[lesion.Value.Code] != level {
			j.add("lesion-level", j.place(lesion.Ref), j.called(lesion.Ref)+" is {}", lesion.Value.Code, "this lesion lies at the "+lesionLevels[lesion.Value.Code]+" level")
		}
	}
}

// anatomy asks for words where there are not two ventricles.
func (j *judge) anatomy() {
	f := j.s.Get(record.TheSession, "anatomy")
	if f != nil && f.Value.Code == "other-anatomy" && j.s.Get(record.TheSession, "anatomy-text") == nil && j.whole {
		j.add("anatomy-text", j.place(f.Ref), j.called(f.Ref)+" is {} and shunt.anatomy-text is missing", f.Value.Code, "another anatomy is said in words")
	}
}

// answer judges who answered a contradicting sign, and when.
func (j *judge) answer() {
	by := j.s.Get(record.TheSession, "sign-answer-by")
	if by != nil && j.s.Verification.By != "" && by.Value.Text != j.s.Verification.By {
		j.addHidden("sign-answer-person", j.place(by.Ref), j.called(by.Ref)+" is {}", by.Value.Text, "the verifier answers a contradicting sign")
	}
	at := j.s.Get(record.TheSession, "sign-answer-at")
	if _, last := j.lastInjection(); at != nil && last != "" && at.Value.Time.Before(last) {
		j.add("sign-answer-time", j.place(at.Ref), j.called(at.Ref)+" is {}", string(at.Value.Time), "it must not lie before the last injection, "+string(last))
	}
}

// catheters judges that blood is taken from an artery and given into a vein.
func (j *judge) catheters() {
	for key, kind := range map[string]string{"arterial": "artery", "venous": "vein"} {
		f := j.s.Get(record.Thing{Kind: measure.Catheter, Key: key}, "catheter-vessel")
		if f != nil && strings.Contains(f.Value.Code, "-") && !strings.HasSuffix(f.Value.Code, "-"+kind) && f.Value.Code != "other-vessel" {
			j.add("catheter-vessel", j.place(f.Ref), j.called(f.Ref)+" is {}", f.Value.Code, "the "+key+" catheter of the loop lies in "+map[string]string{"artery": "an artery", "vein": "a vein"}[kind])
		}
	}
}
