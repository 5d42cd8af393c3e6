package measure

import "slices"

// Other is what the label of a value by another method depends on, beside the
// shunts of the session.
type Other struct {
	Method string // code of the set comparator-method
	Site   string // code of the set comparator-site
	// VenousBlood and ArterialBlood are codes of the set comparator-blood-site,
	// for the Fick methods.
	VenousBlood, ArterialBlood string
	// AorticLeak, PulmonaryLeak: that valve is known to leak.
	AorticLeak, PulmonaryLeak bool
}

// crossings says which crossing flows a flow holds beside Qs.
type crossings struct{ atrial, ventricular, arterial bool }

// flowCrossings are the four flows in those terms; see the balance at Flows.
var flowCrossings = []struct {
	flow Flows
	has  crossings
}{
	{Qs, crossings{}},
	{LVO, crossings{ventricular: true, arterial: true}},
	{RVO, crossings{atrial: true, ventricular: true}},
	{Qp, crossings{atrial: true, ventricular: true, arterial: true}},
}

// otherRow is one row of the table of other methods. A row without a flow
// measures a part of one.
type otherRow struct {
	methods, sites []string
	has            *crossings
	leak           func(Other) bool
}

// Rows of the table hold these.
var (
	echo          = []string{"echo"}
	probe         = []string{"flow-probe"}
	phaseContrast = []string{"phase-contrast"}
	fick          = []string{"fick-oxygen", "fick-carbon-dioxide"}

	aorticFlow    = &crossings{arterial: true}
	pulmonaryFlow = &crossings{atrial: true, ventricular: true}
)

func aorticLeak(o Other) bool    { return o.AorticLeak }
func pulmonaryLeak(o Other) bool { return o.PulmonaryLeak }
func noLeak(Other) bool          { return false }

// otherRows is the table of other methods for flows that are measured in a vessel,
// in the order of the rules' page. The probe on the ascending aorta misses the
// coronary flow: its words say so. Phase contrast goes by the vessel. A method at
// another site names no flow.
var otherRows = []otherRow{
	{echo, []string{"aortic-valve"}, aorticFlow, aorticLeak},
	{probe, []string{"ascending-aorta"}, aorticFlow, noLeak},
	{echo, []string{"pulmonary-valve"}, pulmonaryFlow, pulmonaryLeak},
	{probe, []string{"main-pulmonary-artery"}, pulmonaryFlow, pulmonaryLeak},
	{echo, []string{"superior-vena-cava"}, nil, nil},
	{slices.Concat(echo, probe), []string{"descending-aorta"}, nil, nil},
	{phaseContrast, []string{"aortic-valve"}, aorticFlow, aorticLeak},
	{phaseContrast, []string{"ascending-aorta"}, aorticFlow, noLeak},
	{phaseContrast, []string{"pulmonary-valve", "main-pulmonary-artery"}, pulmonaryFlow, pulmonaryLeak},
	{phaseContrast, []string{"superior-vena-cava", "descending-aorta"}, nil, nil},
}

// JudgeOther applies the table of other methods: what the method measures,
// widened by the equalities that closed levels allow. A stale look closes no
// level.
func JudgeOther(o Other, s Shunts) Label {
	switch {
	case s.LifeSupport:
		return Label{Reason: "life-support"}
	case s.OtherAnatomy:
		return Label{Reason: "other-anatomy"}
	case slices.Contains(fick, o.Method):
		return judgeFick(o, s)
	}
	for _, r := range otherRows {
		if !slices.Contains(r.methods, o.Method) || !slices.Contains(r.sites, o.Site) {
			continue
		}
		if r.has == nil || r.leak(o) {
			return Label{Part: true}
		}
		return widen(*r.has, s)
	}
	return Label{Reason: "method-names-no-flow"}
}

// widen gives the flows that equal one which holds the given crossings: those
// that differ only by crossings that are closed.
func widen(has crossings, s Shunts) Label {
	atrial := s.At(Atrial) == StateClosed
	ventricular := s.At(Ventricular) == StateClosed
	arterial := s.At(Ductal) == StateClosed && s.At(Aortopulmonary) == StateClosed
	var l Label
	for _, f := range flowCrossings {
		if (f.has.atrial == has.atrial || atrial) && (f.has.ventricular == has.ventricular || ventricular) && (f.has.arterial == has.arterial || arterial) {
			l.Flows |= f.flow
		}
	}
	l.Part = l.Flows == NoFlow
	return l
}

// judgeFick labels the Fick methods. Pulmonary: Qp from pulmonary arterial and
// pulmonary venous content; systemic arterial content stands for pulmonary venous
// only where right-to-left flow is excluded. Systemic: Qs from systemic arterial
// content and venous content upstream of every left-to-right shunt, so pulmonary
// arterial blood serves only where none goes left to right; with ductal flow
// right to left not determined.
func judgeFick(o Other, s Shunts) Label {
	only := func(allowed ...State) bool {
		for _, level := range Levels {
			if !slices.Contains(allowed, s.At(level)) {
				return false
			}
		}
		return true
	}
	switch o.Site {
	case "pulmonary-circulation":
		venous := o.ArterialBlood == "pulmonary-vein" || o.ArterialBlood == "systemic-artery" && only(StateClosed, StateLeftToRight)
		if o.VenousBlood == "pulmonary-artery" && venous {
			return widen(crossings{atrial: true, ventricular: true, arterial: true}, s)
		}
	case "systemic-circulation":
		for _, reason := range doubtOrder {
			if slices.ContainsFunc(greatArteries, func(level string) bool { return levelDoubt(level, s.At(level)) == reason }) {
				return Label{Reason: reason}
			}
		}
		upstream := slices.Contains([]string{"mixed-venous", "superior-vena-cava", "inferior-vena-cava"}, o.VenousBlood) ||
			o.VenousBlood == "pulmonary-artery" && only(StateClosed, StateRightToLeft)
		if o.ArterialBlood == "systemic-artery" && upstream {
			return widen(crossings{}, s)
		}
	}
	return Label{Reason: "method-names-no-flow"}
}

// Comparable tells whether two values may be paired: their sets share a flow.
func Comparable(a, b Label) bool { return a.Flows&b.Flows != NoFlow }
