package measure

import (
	"slices"
	"strings"
)

// Flows is a set of the flows that a number equals.
type Flows uint8

// The four flows. Qs is what the body gets, LVO all that the left ventricle
// ejects forward and across a ventricular defect, RVO the flow through the
// pulmonary valve, Qp what the lungs get.
//
// Balance, left to right positive and net, with d the ductal and aortopulmonary,
// a the atrial and v the ventricular shunt: aortic valve flow = Qs + d;
// RVO = Qs + a + v; Qp = Qs + a + v + d; LVO = Qs + d + v.
const (
	Qs Flows = 1 << iota
	LVO
	RVO
	Qp

	NoFlow   Flows = 0
	AllFlows       = Qs | LVO | RVO | Qp
)

var flowNames = []struct {
	flow  Flows
	code  string
	words Words
}{
	{Qs, "Qs", Words{"blood flow to the body", "Blutfluss in den Körperkreislauf"}},
	{LVO, "LVO", Words{"output of the left ventricle", "Herzzeitvolumen des linken Ventrikels"}},
	{RVO, "RVO", Words{"output of the right ventricle", "Herzzeitvolumen des rechten Ventrikels"}},
	{Qp, "Qp", Words{"blood flow through the lungs", "Blutfluss durch die Lunge"}},
}

// Words of labels that name no flow.
var (
	noWholeFlowWords  = Words{"no whole flow", "kein vollständiger Fluss"}
	unknownLabelWords = Words{"which flow is not known", "unklar, welcher Fluss"}
)

// Contains tells whether the set holds all of the given flows.
func (f Flows) Contains(g Flows) bool { return g != 0 && f&g == g }

// Names gives the codes of the flows in the set.
func (f Flows) Names() []string {
	var names []string
	for _, n := range flowNames {
		if f.Contains(n.flow) {
			names = append(names, n.code)
		}
	}
	return names
}

// FlowOf gives the flow of a code such as "LVO".
func FlowOf(code string) (Flows, bool) {
	for _, n := range flowNames {
		if n.code == code {
			return n.flow, true
		}
	}
	return NoFlow, false
}

// NotDetermined is the code of a label that names no flow; NoWholeFlow that of a
// comparator whose number equals none of the flows: a part of one, or what is
// left of one at a leaking valve.
const (
	NotDetermined = "not-determined"
	NoWholeFlow   = "no-whole-flow"
)

// Label says which flow a number stands for: the set of flows that it equals, or
// the one reason why none can be named. The zero Label is none at all.
type Label struct {
	Flows  Flows
	Reason string // reason code when not determined
	Part   bool   // equals no whole flow: an empty set without a doubt
}

// Determined tells whether the label names a flow.
func (l Label) Determined() bool { return l.Flows != NoFlow }

// IsZero tells that there is no label.
func (l Label) IsZero() bool { return l == Label{} }

// Code gives the one code of the label: the flows joined by hyphens,
// "no-whole-flow" or "not-determined".
func (l Label) Code() string {
	switch {
	case l.Flows != NoFlow:
		return strings.Join(l.Flows.Names(), "-")
	case l.Part:
		return NoWholeFlow
	}
	return NotDetermined
}

// Words gives the label in our words.
func (l Label) Words(in Language) string { return l.words().In(in) }

func (l Label) words() Words {
	switch {
	case l.Part:
		return noWholeFlowWords
	case l.Flows == NoFlow:
		return unknownLabelWords
	}
	var words Words
	for _, n := range flowNames {
		if !l.Flows.Contains(n.flow) {
			continue
		}
		for i := range words {
			if words[i] != "" {
				words[i] += " = "
			}
			words[i] += n.words[i]
		}
	}
	return words
}

// LabelOf reads a label from its code and, where not determined, its reason.
func LabelOf(code, reason string) (Label, bool) {
	switch code {
	case NotDetermined:
		_, ok := ReasonOf(reason)
		return Label{Reason: reason}, ok && slices.Contains(doubtOrder, reason)
	case NoWholeFlow:
		return Label{Part: true}, true
	}
	var l Label
	for name := range strings.SplitSeq(code, "-") {
		f, ok := FlowOf(name)
		if !ok || l.Flows.Contains(f) {
			return Label{}, false
		}
		l.Flows |= f
	}
	return l, l.Code() == code
}

// LabelCodes gives every label code with its words, for the code system.
func LabelCodes() []Coded {
	var codes []Coded
	for f := Flows(1); f <= AllFlows; f++ {
		l := Label{Flows: f}
		codes = append(codes, Coded{l.Code(), l.words()})
	}
	for _, l := range []Label{{Part: true}, {Reason: "not-assessed"}} {
		codes = append(codes, Coded{l.Code(), l.words()})
	}
	return codes
}
