package measure

import "slices"

// Permit says whether values of a column may be charted. A stricter one is
// larger.
type Permit uint8

// The entries of the columns.
const (
	Yes Permit = iota
	Caution
	Withheld
)

// State is what is known of one level.
type State string

// The states of a level. StateStale is a look that no longer holds; it rules
// like StateNotSeen and gives another reason.
const (
	StateClosed        State = "closed"
	StateLeftToRight   State = "left-to-right"
	StateRightToLeft   State = "right-to-left"
	StateBidirectional State = "bidirectional"
	StateNoDirection   State = "direction-not-seen"
	StateNotSeen       State = "not-seen"
	StateStale         State = "stale-assessment"
)

// States gives every state of a level.
var States = []State{StateClosed, StateLeftToRight, StateRightToLeft, StateBidirectional, StateNoDirection, StateNotSeen, StateStale}

// The levels at which blood can cross, in the order of the circulation.
const (
	Atrial         = "atrial"
	Ventricular    = "ventricular"
	Ductal         = "ductal"
	Aortopulmonary = "aortopulmonary"
)

// Levels gives the four levels.
var Levels = []string{Atrial, Ventricular, Ductal, Aortopulmonary}

// Area says whether the monitor's area counts recirculation through the lungs.
type Area string

// The answers of the site settings.
const (
	AreaYes     Area = "yes"
	AreaNo      Area = "no"
	AreaUnknown Area = "unknown"
)

// Shunts is what the label of a dilution flow depends on.
type Shunts struct {
	Atrial, Ventricular, Ductal, Aortopulmonary State // "" = not seen

	OtherAnatomy bool
	LifeSupport  bool
	Area         Area // "" = unknown
	// Contradicted: a sign that contradicts the stated context is not answered.
	Contradicted bool
	// Agrees: a recomputed flow agrees whose own interval is narrower than the
	// site's tolerance; it settles the label of a reported flow.
	Agrees bool
}

// At gives the state of a level by its name.
func (s Shunts) At(level string) State {
	var state State
	switch level {
	case Atrial:
		state = s.Atrial
	case Ventricular:
		state = s.Ventricular
	case Ductal:
		state = s.Ductal
	case Aortopulmonary:
		state = s.Aortopulmonary
	}
	if state == "" {
		return StateNotSeen
	}
	return state
}

// Verdict is what the table says of a dilution flow and of the values beside it.
type Verdict struct {
	Label Label
	// Doubts are all reasons that apply, the first being the label's.
	Doubts           []string
	LV, RO, CBV, EDV Permit
	// Blocked: an unanswered contradicting sign keeps published left ventricular
	// codes away although the label may contain LVO.
	Blocked bool
}

// Of gives the entry of a column; what no column of the table rules may be charted.
func (v Verdict) Of(c Column) Permit {
	switch c {
	case ColumnLV:
		return v.LV
	case ColumnRO:
		return v.RO
	case ColumnCBV:
		return v.CBV
	case ColumnEDV:
		return v.EDV
	}
	return Yes
}

// labelRow is one row of the table of flow labels: levels and states, what the
// flow equals there, and the columns. A row with a reason is not determined.
type labelRow struct {
	levels           []string
	states           []State
	flows            Flows
	reason           string
	lv, ro, cbv, edv Permit
}

// LabelRow is one row of the table of flow labels as others may read it: what a flow
// equals while one of the levels is in one of the states, or why that is not determined.
type LabelRow struct {
	Levels []string
	States []State
	Flows  Flows
	Reason string
}

// LabelRows gives the table in its order.
func LabelRows() []LabelRow {
	rows := make([]LabelRow, len(labelRows))
	for i, r := range labelRows {
		rows[i] = LabelRow{slices.Clone(r.levels), slices.Clone(r.states), r.flows, r.reason}
	}
	return rows
}

var greatArteries = []string{Ductal, Aortopulmonary}
var someRightToLeft = []State{StateRightToLeft, StateBidirectional, StateNoDirection}

// labelRows is the table. The order is that of the rules' page: closed; atrial;
// ventricular; ductal and aortopulmonary; not seen. Other anatomy and life
// support come before every level (doubtsBefore).
var labelRows = []labelRow{
	{Levels, []State{StateClosed}, AllFlows, "", Yes, Yes, Yes, Yes},
	{[]string{Atrial}, []State{StateLeftToRight}, Qs | LVO, "", Yes, Yes, Caution, Withheld},
	{[]string{Atrial}, []State{StateRightToLeft, StateBidirectional}, Qs | LVO, "", Yes, Yes, Withheld, Withheld},
	{[]string{Atrial}, []State{StateNoDirection, StateNotSeen, StateStale}, Qs | LVO, "", Yes, Yes, Withheld, Withheld},
	{[]string{Ventricular}, []State{StateLeftToRight}, Qs, "", Withheld, Yes, Caution, Withheld},
	{[]string{Ventricular}, someRightToLeft, NoFlow, "unmixed-streams", Withheld, Withheld, Withheld, Withheld},
	{greatArteries, []State{StateLeftToRight}, Qs | RVO, "", Withheld, Yes, Caution, Withheld},
	{greatArteries, someRightToLeft, NoFlow, "two-paths", Withheld, Withheld, Withheld, Withheld},
	{[]string{Ventricular, Ductal, Aortopulmonary}, []State{StateStale}, NoFlow, "stale-assessment", Withheld, Withheld, Withheld, Withheld},
	{[]string{Ventricular, Ductal, Aortopulmonary}, []State{StateNotSeen}, NoFlow, "not-assessed", Withheld, Withheld, Withheld, Withheld},
}

// doubtOrder is the order in which reasons are named: the first that applies
// stands in the label.
var doubtOrder = []string{
	"life-support", "other-anatomy", "unmixed-streams", "two-paths", "stale-assessment", "not-assessed",
	"monitor-area-excludes-lungs", "monitor-area-unknown", "method-names-no-flow",
}

// curable are the reasons that further data could cure: they keep a session
// preliminary whatever the verifier does.
var curable = map[string]bool{
	"stale-assessment": true, "not-assessed": true, "monitor-area-excludes-lungs": true, "monitor-area-unknown": true,
}

// Curable tells whether further data could cure the reason of a label.
func Curable(reason string) bool { return curable[reason] }

// Judge applies the table of flow labels to a dilution flow.
func Judge(s Shunts) Verdict {
	v := Verdict{Label: Label{Flows: AllFlows}, Blocked: s.Contradicted}
	var doubts []string
	if s.LifeSupport {
		doubts = append(doubts, "life-support")
	}
	if s.OtherAnatomy {
		doubts = append(doubts, "other-anatomy")
	}
	for _, level := range Levels {
		row := rowFor(level, s.At(level))
		v.Label.Flows &= row.flows
		v.LV, v.RO, v.CBV, v.EDV = max(v.LV, row.lv), max(v.RO, row.ro), max(v.CBV, row.cbv), max(v.EDV, row.edv)
		if row.reason != "" {
			doubts = append(doubts, row.reason)
		}
	}
	doubts = append(doubts, areaDoubts(s)...)
	for _, reason := range doubtOrder {
		if slices.Contains(doubts, reason) {
			v.Doubts = append(v.Doubts, reason)
		}
	}
	if len(v.Doubts) > 0 {
		v.Label = Label{Reason: v.Doubts[0]}
		v.LV, v.RO, v.CBV, v.EDV = Withheld, Withheld, Withheld, Withheld
	}
	if s.Contradicted {
		v.LV = Withheld
	}
	return v
}

// rowFor gives the row of a level in a state; a state without a row is not
// determined.
func rowFor(level string, state State) labelRow {
	for _, r := range labelRows {
		if slices.Contains(r.levels, level) && slices.Contains(r.states, state) {
			return r
		}
	}
	return labelRow{reason: "not-assessed", lv: Withheld, ro: Withheld, cbv: Withheld, edv: Withheld}
}

// levelDoubt gives the reason why a level in a state leaves the flow not determined,
// "" where it does not.
func levelDoubt(level string, state State) string { return rowFor(level, state).reason }

// areaDoubts gives the reasons why a monitor's number cannot be labelled: unless
// every level is closed, or open with right to left only, the area must be known to
// count recirculation through the lungs, or a recomputed flow must agree. While a
// contradicting sign is not answered only an area known to count it will do.
func areaDoubts(s Shunts) []string {
	var doubts []string
	switch {
	case s.Area == AreaYes:
		return nil
	case s.Contradicts() || s.Agrees:
	case s.Area == AreaNo:
		doubts = append(doubts, "monitor-area-excludes-lungs")
	default:
		doubts = append(doubts, "monitor-area-unknown")
	}
	if s.Contradicted {
		doubts = append(doubts, "monitor-area-unknown")
	}
	return doubts
}

// Contradicts tells whether a left-to-right sign contradicts the stated context:
// no level is open left to right, in both directions, without a direction seen,
// or not seen; every one is closed, or open with right to left only.
func (s Shunts) Contradicts() bool {
	for _, level := range Levels {
		if state := s.At(level); state != StateClosed && state != StateRightToLeft {
			return false
		}
	}
	return true
}

// ContradictsEarly tells whether an early appearance of the indicator contradicts the
// stated context: no level from which indicator could reach the artery early is open
// right to left, in both directions, without a direction seen, or not seen. What crosses
// at the great arteries never reaches an artery before the duct.
func (s Shunts) ContradictsEarly(preductal bool) bool {
	for _, level := range Levels {
		if preductal && slices.Contains(greatArteries, level) {
			continue
		}
		if state := s.At(level); state != StateClosed && state != StateLeftToRight {
			return false
		}
	}
	return true
}

// faultsOfSigns are the causes of exclusion for which the sign of an excluded
// injection does not count either.
var faultsOfSigns = []string{"sensor", "air", "catheter"}

// SignCounts tells whether the sign of an injection counts that was excluded for a
// cause; "" is none.
func SignCounts(cause string) bool { return !slices.Contains(faultsOfSigns, cause) }
