// Package sheettest draws sessions for the laws of the rooms: any that a sheet can
// carry, of every kind of thing, that break no rule of package sheet. Rows come
// from the table of measures, sizes from the table of plausible values, so that a
// new measure is drawn without a word here. All of it is invented.
//
// It is for tests alone.
package sheettest

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"time"

	"pgregory.net/rapid"

	"saltmark/internal/sheet"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Session draws sessions of stated and reported facts, in the order of
// record.Session.Sort, without what settings and derivation add.
func Session() *rapid.Generator[*record.Session] {
	return rapid.Custom(func(t *rapid.T) *record.Session {
		g := newDraw(t)
		g.session()
		g.subject()
		g.catheters()
		g.levels()
		g.injections()
		g.lists()
		g.rest()
		g.people()
		g.s.Sort()
		return g.s
	})
}

// draw is one session under way.
type draw struct {
	t      *rapid.T
	s      *record.Session
	ranges map[string]sheet.Range
	zone   *time.Location
	start  time.Time
	last   time.Time // last injection
	weight record.Quantity
	perKg  int // flow in mL/min/kg

	monitored bool
}

// sizes gives the range by which the size of each measure is drawn: one that the
// measure has for itself or per kg.
func sizes() map[string]sheet.Range {
	m := map[string]sheet.Range{}
	for _, r := range sheet.DefaultRanges() {
		if len(r.By) == 0 && r.ToDays == 0 || len(r.By) == 1 && r.By[0] == "weight" {
			if _, ok := m[r.Of]; !ok {
				m[r.Of] = r
			}
		}
	}
	return m
}

func newDraw(t *rapid.T) *draw {
	g := &draw{t: t, s: &record.Session{Revision: 1}, ranges: sizes()}
	offset := rapid.SampledFrom([]int{2, 2, 0, -5, 9}).Draw(t, "offset")
	g.zone = time.FixedZone("", offset*3600)
	g.start = time.Date(2031, 5, 3, 14, rapid.IntRange(0, 59).Draw(t, "minute"), 0, 0, g.zone)
	g.last = g.start
	g.perKg = rapid.IntRange(100, 300).Draw(t, "flow per kg")
	return g
}

func (g *draw) yes(what string) bool { return rapid.Bool().Draw(g.t, what) }

func (g *draw) upTo(n int, what string) int { return rapid.IntRange(0, n).Draw(g.t, what) }

func (g *draw) name(what string) string {
	return rapid.StringMatching(`[a-z0-9][a-z0-9._-]{0,8}`).Draw(g.t, what)
}

func (g *draw) words(what string) string {
	return rapid.StringMatching(`[A-Za-zäčß0-9#'"%&{\[-]([a-zé0-9 ,.:;#'"()/-]|\n){0,20}[a-zž0-9.)]`).Draw(g.t, what)
}

// at gives a moment some minutes from the start.
func (g *draw) at(minutes int) record.Time {
	return record.At(g.start.Add(time.Duration(minutes) * time.Minute))
}

func (g *draw) add(about record.Thing, key string, v record.Value) *record.Fact {
	m := measure.Get(key)
	g.s.Facts = append(g.s.Facts, record.Fact{
		Ref:   record.Ref{About: about, Measure: key, Origin: record.Origin(m.DefaultOrigin())},
		Value: v,
	})
	return &g.s.Facts[len(g.s.Facts)-1]
}

func (g *draw) has(about record.Thing, key string) bool { return g.s.Get(about, key) != nil }

// session draws what is no fact.
func (g *draw) session() {
	s := g.s
	s.ID = "demo-" + g.name("id")
	s.Test = g.yes("test")
	s.Start = record.At(g.start)
	s.Patient = g.reference("Patient", true)
	s.Encounter = g.reference("Encounter", false)
	s.Order = g.reference("ServiceRequest", false)
	if _, offset := g.start.Zone(); offset == 2*3600 && g.yes("zone") {
		g.add(record.TheSession, "time-zone", record.Value{Text: "Europe/Ljubljana"})
	}
	if g.yes("revised") {
		s.Revision = 2 + g.upTo(3, "revision")
		g.add(record.TheSession, "revision-reason", record.Value{Text: g.words("reason")})
	}
	if g.monitored = g.yes("monitor"); g.monitored {
		s.Devices = append(s.Devices, record.Device{Role: "monitor", Key: "m1", Version: rapid.SampledFrom([]string{"", "2.10", "3 (beta)"}).Draw(g.t, "software")})
	}
	s.Devices = append(s.Devices, record.Device{Role: "loop", Key: "set-a"})
	g.add(record.TheSession, "loop-set", record.Value{Text: "set-a"})
	for i := range g.upTo(2, "disposables") {
		s.Devices = append(s.Devices, record.Device{Role: "disposable", Key: fmt.Sprintf("part-%d", i+1), Lot: g.name("lot"), Expiry: "2032-01-31"})
	}
}

func (g *draw) reference(kind string, must bool) record.Reference {
	switch {
	case !must && !g.yes(kind):
		return record.Reference{}
	case g.yes(kind + " literal"):
		return record.Reference{Literal: kind + "/9" + strconv.Itoa(g.upTo(99, kind)) + "zz"}
	}
	r := record.Reference{Value: "ZZ|" + g.name(kind)}
	if g.yes(kind + " system") {
		r.System = "https://hospital.example/" + kind
	}
	return r
}

// people draws verification, entry and withdrawal, when all times are known.
func (g *draw) people() {
	s := g.s
	s.Operator = "demo-person-7"
	s.End = record.At(g.last.Add(10 * time.Minute))
	if g.yes("entered") {
		s.EnteredBy, s.EnteredAt = "demo-person-7", record.At(g.last.Add(20*time.Minute))
	}
	if g.yes("verified") {
		s.Verification = record.Verification{By: "demo-person-9", At: record.At(g.last.Add(30 * time.Minute)), Revision: s.Revision}
	}
	if g.upTo(9, "withdrawn") == 0 {
		s.Withdrawal = record.Withdrawal{By: "demo-person-9", At: record.At(g.last.Add(time.Hour)), Reason: g.words("why"), NeverMeasured: g.yes("never measured")}
	}
}

// bodies are the classes of age and build that subjects are drawn from: days, kg
// in tenths, and the weight over the square of the length.
var bodies = []struct{ days, kg, build [2]int }{
	{[2]int{0, 27}, [2]int{6, 45}, [2]int{8, 14}},
	{[2]int{28, 364}, [2]int{25, 110}, [2]int{13, 20}},
	{[2]int{365, 2189}, [2]int{80, 250}, [2]int{13, 20}},
	{[2]int{2190, 4379}, [2]int{160, 600}, [2]int{14, 24}},
	{[2]int{4380, 30000}, [2]int{400, 900}, [2]int{22, 30}},
}

func (g *draw) subject() {
	body := rapid.SampledFrom(bodies).Draw(g.t, "body")
	days := rapid.IntRange(body.days[0], body.days[1]).Draw(g.t, "days")
	if g.yes("birth date") {
		g.add(record.TheSession, "birth-date", record.Value{Time: record.Time(g.start.AddDate(0, 0, -days).Format(time.DateOnly))})
	} else if g.yes("age") {
		g.add(record.TheSession, "age", record.Value{Quantity: record.Quantity{Number: strconv.Itoa(days), Unit: "d"}})
	}
	tenths := rapid.IntRange(body.kg[0], body.kg[1]).Draw(g.t, "tenths of kg")
	g.weight = record.Quantity{Number: big.NewRat(int64(tenths), 10).FloatString(2), Unit: "kg"}
	weight := g.add(record.TheSession, "weight", record.Value{Quantity: g.weight})
	weight.At, weight.Obtained = g.at(-rapid.IntRange(1, 4000).Draw(g.t, "weighed")), g.obtained()
	if g.yes("length") {
		square := big.NewRat(int64(tenths*1000), int64(rapid.IntRange(body.build[0], body.build[1]).Draw(g.t, "build")))
		cm := new(big.Int).Sqrt(new(big.Int).Quo(square.Num(), square.Denom()))
		length := g.add(record.TheSession, "length", record.Value{Quantity: record.Quantity{Number: cm.String() + ".0", Unit: "cm"}})
		length.At, length.Obtained = record.Time(g.start.AddDate(0, 0, -g.upTo(20, "measured")).Format(time.DateOnly)), g.obtained()
	}
	if g.yes("gestation") {
		g.add(record.TheSession, "gestational-age", record.Value{Quantity: record.Quantity{Number: strconv.Itoa(22 + g.upTo(20, "weeks")), Unit: "wk"}})
	}
}

func (g *draw) obtained() string {
	return rapid.SampledFrom(append(measure.SetNames("obtained"), "", "measured-here")).Draw(g.t, "obtained")
}

func (g *draw) catheters() {
	for _, key := range measure.Catheters {
		thing := record.Thing{Kind: measure.Catheter, Key: key}
		suffix := map[string]string{"arterial": "artery", "venous": "vein"}[key]
		vessels := slices.DeleteFunc(measure.SetNames("vessel"), func(v string) bool { return v[len(v)-len(suffix):] != suffix })
		vessel := rapid.SampledFrom(vessels).Draw(g.t, "vessel")
		g.add(thing, "catheter-vessel", record.Value{Code: vessel})
		side := rapid.SampledFrom([]string{"", "left", "right"}).Draw(g.t, "side")
		if side != "" {
			g.add(thing, "catheter-side", record.Value{Code: side})
		}
		if key == "arterial" {
			site := sheet.DuctSite(vessel, side)
			if g.yes("uncertain") {
				site = "uncertain"
			}
			g.add(thing, "catheter-duct-site", record.Value{Code: site})
		} else if g.yes("tip") {
			g.add(thing, "catheter-tip", record.Value{Code: rapid.SampledFrom(measure.SetNames("tip")).Draw(g.t, "tip")})
		}
	}
}

func (g *draw) levels() {
	for _, level := range measure.Levels {
		thing := record.Thing{Kind: measure.Level, Key: level}
		state := rapid.SampledFrom(append(measure.SetNames("level-state"), "", "closed")).Draw(g.t, level)
		if state == "" {
			continue
		}
		g.add(thing, "level-state", record.Value{Code: state})
		if state == "not-seen" {
			continue
		}
		g.add(thing, "level-seen", record.Value{Time: g.at(-rapid.IntRange(1, 3000).Draw(g.t, "seen"))})
		if g.yes("seen by") {
			g.add(thing, "level-seen-by", record.Value{Text: "demo-person-3"})
			g.add(thing, "level-method", record.Value{Code: rapid.SampledFrom(measure.SetNames("assessment-method")).Draw(g.t, "method")})
		}
		if state == "open" {
			g.add(thing, "level-direction", record.Value{Code: rapid.SampledFrom(measure.SetNames("level-direction")).Draw(g.t, "direction")})
			if g.yes("size") {
				g.add(thing, "level-size", g.value(measure.Get("level-size")))
			}
		}
	}
}
