package repeatability

import (
	"encoding/json"
	"io"
	"strings"

	"saltmark/mapping/record"
)

// JSONVersion is the version of the JSON form. A member is never renamed and never
// changes its meaning under one version; members may be added.
const JSONVersion = 1

// decimal is a number with the digits that are told.
type decimal string

// MarshalJSON writes the digits as they are.
func (d decimal) MarshalJSON() ([]byte, error) { return []byte(d), nil }

type document struct {
	Version int `json:"saltmarkRepeatability"`
	// Values are the flows that were pooled: reported or recomputed.
	Values record.Origin `json:"values"`
	Test   bool          `json:"test"`
	*groupJSON
	By       string         `json:"by,omitempty"`
	Groups   []*groupJSON   `json:"groups,omitempty"`
	LeftOut  []leftOutJSON  `json:"leftOut"`
	Excluded map[string]int `json:"injectionsExcluded"` // by cause
	Unshown  int            `json:"injectionsWithoutFlow"`
}

// groupJSON is what sessions come to. Figures are in per cent.
type groupJSON struct {
	Value      string           `json:"value,omitempty"`
	Sessions   int              `json:"sessions"`
	Patients   int              `json:"patients"`
	Injections int              `json:"injections"`
	Unverified int              `json:"sessionsNotVerified"`
	First      record.Time      `json:"first"`
	Last       record.Time      `json:"last"`
	Problem    string           `json:"problem,omitempty"` // why there is no variation
	Variation  *variationJSON   `json:"variation,omitempty"`
	Means      []replicatesJSON `json:"means,omitempty"`
	Shares     []shareJSON      `json:"shares,omitempty"` // the largest first
}

type variationJSON struct {
	Percent decimal `json:"percent"`
	Low     decimal `json:"low"`  // of the 95 % interval
	High    decimal `json:"high"` // of the 95 % interval
	Freedom int     `json:"degreesOfFreedom"`
	Few     bool    `json:"few"`
	Student decimal `json:"studentFactor"` // which 2 stands for in the precision
}

type replicatesJSON struct {
	N         int     `json:"injections"`
	Precision decimal `json:"precision"`
	Change    decimal `json:"leastSignificantChange"`
	Upper     decimal `json:"leastSignificantChangeAtUpperEnd"`
}

type shareJSON struct {
	Session    string  `json:"session"`
	Injections int     `json:"injections"`
	Percent    decimal `json:"percent"`
}

type leftOutJSON struct {
	Reason string   `json:"reason"`
	Words  string   `json:"words"`
	Names  []string `json:"names"`
}

// WriteJSON tells a result to programs.
func (r *Result) WriteJSON(w io.Writer) error {
	d := document{Version: JSONVersion, Values: r.Values, Test: r.Test, By: r.By, LeftOut: []leftOutJSON{}, Excluded: map[string]int{}, Unshown: r.Unshown}
	if r.Sessions > 0 {
		d.groupJSON = r.Group.json()
	}
	for _, g := range r.Groups {
		d.Groups = append(d.Groups, g.json())
	}
	for _, l := range r.LeftOut {
		d.LeftOut = append(d.LeftOut, leftOutJSON(l))
	}
	for _, c := range r.Excluded {
		d.Excluded[c.Cause] = c.N
	}
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(d); err != nil {
		return err
	}
	return writeLines(w, b.String())
}

func (g Group) json() *groupJSON {
	v := g.Variation
	j := &groupJSON{Value: g.Value, Sessions: g.Sessions, Patients: g.Patients, Injections: g.Injections, Unverified: g.Unverified, First: g.First, Last: g.Last}
	if g.Problem != nil {
		j.Problem = g.Problem.Error()
		return j
	}
	j.Variation = &variationJSON{decimal(percent(v.Percent)), decimal(percent(v.Low)), decimal(percent(v.High)), v.Freedom, g.Few(), decimal(percent(g.Student))}
	for _, n := range g.Replicates {
		j.Means = append(j.Means, replicatesJSON{n.N, decimal(tenths(n.Precision)), decimal(tenths(n.Change)), decimal(tenths(n.Upper))})
	}
	for _, s := range g.Largest {
		j.Shares = append(j.Shares, shareJSON{s.Session, s.Injections, decimal(tenths(100 * s.Part))})
	}
	return j
}
