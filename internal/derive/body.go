package derive

import (
	"math/big"
	"strings"

	"saltmark/internal/hemo"
	"saltmark/mapping/record"
)

// bodySurface is the body surface area by the formula that the sheet asks for, else
// by Haycock's below 18 years or at an unknown age, and by Mosteller's above.
func bodySurface(w *work, c *call) made {
	formula := w.code(record.TheSession, "area-formula")
	switch {
	case formula != "":
	case w.adult():
		formula = "mosteller"
	default:
		formula = "haycock"
	}
	surface, ok := surfaceOf(formula)
	weight, length := number(c.in[0], "kg"), number(c.in[1], "cm")
	if !ok || weight == nil || length == nil {
		return absent("input-missing")
	}
	kg, _ := weight.Float64()
	cm, _ := length.Float64()
	area, err := surface.Area(kg, cm)
	if err != nil {
		return w.refused(c, err)
	}
	v := charted(w, c, area)
	v.method = formula
	return v
}

// surfaceOf gives the formula of a code of the set "area-formula": its author's name
// in small letters with hyphens.
func surfaceOf(code string) (hemo.Surface, bool) {
	for _, s := range hemo.Surfaces() {
		if strings.ReplaceAll(strings.ToLower(s.Name), " ", "-") == code {
			return s, true
		}
	}
	return hemo.Surface{}, false
}

// belowAreaWeight gives the reason why no index by area is made: the weight lies
// below the site's limit and the sheet does not ask for one.
func (w *work) belowAreaWeight() string {
	weight := w.number(record.TheSession, "weight")
	limit := w.number(record.TheSession, "area-index-weight-limit")
	if weight == nil || limit == nil || weight.Cmp(limit) >= 0 || w.code(record.TheSession, "area-index-wanted") == "yes" {
		return ""
	}
	return "below-site-weight"
}

const (
	daysOfNewborn    = 28     // young below, where the record carries no limit of the site
	weeksOfTerm      = 37     // born preterm below
	weeksOfYoung     = 44     // postmenstrual age of the preterm: young below, likewise
	daysUnknown      = 120    // gestation not known: young below, likewise
	yearsOfAdult     = 18     // Mosteller's formula from here
	daysOfAdult      = 6574.5 // the same by a stated age, in years of 365.25 days
	daysOfOneWeek    = 7
	whereNoneIsKnown = -1
)

// ageInDays is the whole calendar days of age on the day of the session at its
// place; negative where the age is not known.
func (w *work) ageInDays() int {
	if born := w.moment(record.TheSession, "birth-date"); born != "" {
		return int(w.day(w.session.Start).Sub(w.day(born)).Hours() / 24)
	}
	if age := w.number(record.TheSession, "age"); age != nil {
		return int(new(big.Int).Quo(age.Num(), age.Denom()).Int64())
	}
	return whereNoneIsKnown
}

// young tells whether looks for a shunt hold for the short window: under an age (28
// days unless the site sets another), or born preterm and under a postmenstrual age
// (44 weeks). An unknown gestation counts as preterm until an age (120 days), an
// unknown age as young.
func (w *work) young() bool {
	days := w.ageInDays()
	age := big.NewRat(int64(days), 1)
	if days < 0 || age.Cmp(w.days("young-age-limit", daysOfNewborn)) < 0 {
		return true
	}
	gestation := number(w.get(record.TheSession, "gestational-age"), "d")
	if gestation == nil {
		return age.Cmp(w.days("young-unknown-limit", daysUnknown)) < 0
	}
	preterm := gestation.Cmp(big.NewRat(weeksOfTerm*daysOfOneWeek, 1)) < 0
	postmenstrual := new(big.Rat).Add(gestation, age)
	return preterm && postmenstrual.Cmp(w.days("young-postmenstrual-limit", weeksOfYoung*daysOfOneWeek)) < 0
}

// days gives a limit of the site in days, or what holds without.
func (w *work) days(key string, otherwise int64) *big.Rat {
	if x := number(w.get(record.TheSession, key), "d"); x != nil {
		return x
	}
	return big.NewRat(otherwise, 1)
}

// adult tells whether the age is known to be 18 years or more.
func (w *work) adult() bool {
	if born := w.moment(record.TheSession, "birth-date"); born != "" {
		return !w.day(born).AddDate(yearsOfAdult, 0, 0).After(w.day(w.session.Start))
	}
	age := w.number(record.TheSession, "age")
	return age != nil && age.Cmp(new(big.Rat).SetFloat64(daysOfAdult)) >= 0
}
