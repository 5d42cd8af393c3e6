package rehearsal

import (
	"fmt"
	"math"
	"time"
)

// at reads a table of (weight in kg, value) on straight lines.
func at(table [][2]float64, weightKg float64) float64 {
	if weightKg <= table[0][0] {
		return table[0][1]
	}
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1], table[i]; weightKg <= b[0] {
			return a[1] + (b[1]-a[1])*(weightKg-a[0])/(b[0]-a[0])
		}
	}
	return table[len(table)-1][1]
}

// Usual age in days, length in cm, weeks of gestation at birth and mean arterial
// pressure in mm[Hg] by weight in kg (common practice, no source).
var (
	ageDays   = [][2]float64{{0.7, 3}, {2.5, 6}, {3.5, 12}, {5, 60}, {8, 210}, {10, 365}, {15, 1200}, {30, 3600}, {50, 5100}, {70, 9000}, {120, 15000}}
	lengthCm  = [][2]float64{{0.7, 33}, {1, 36}, {1.5, 41}, {2.5, 46}, {3.5, 51}, {5, 58}, {8, 69}, {10, 75}, {15, 97}, {30, 135}, {50, 160}, {70, 173}, {120, 184}}
	gestation = [][2]float64{{0.7, 25}, {1, 27}, {1.5, 30}, {2.5, 35}, {3.2, 39}, {4, 40}}
	pressure  = [][2]float64{{0.7, 30}, {3, 46}, {10, 58}, {70, 82}}
)

// start is when the session began: one after the other over the four weeks from 1 June
// 2031, at the place of the demo settings.
func (s *session) start() time.Time {
	day, hour := s.number%28, 6+s.number/28%16
	return time.Date(2031, 6, 1+day, hour, 0, 0, 0, time.FixedZone("", 2*3600))
}

// clock is a time of the session as a sheet has it, some minutes after the start.
func (s *session) clock(minutes int) string {
	return s.start().Add(time.Duration(minutes) * time.Minute).Format("15:04")
}

func (s *session) moment(minutes int) string {
	return s.start().Add(time.Duration(minutes) * time.Minute).Format(time.RFC3339)
}

func (s *session) birthDate() string {
	days := int(math.Round(at(ageDays, s.scenario.WeightKg)))
	return s.start().AddDate(0, 0, -days).Format(time.DateOnly)
}

// weightText is in kg, with two decimals below 10 kg.
func weightText(kg float64) string {
	if kg < 10 {
		return fmt.Sprintf("%.2f kg", kg)
	}
	return fmt.Sprintf("%.1f kg", kg)
}

// three is a number with three digits that count.
func three(x float64) string {
	decimals := max(0, 2-int(math.Floor(math.Log10(x))))
	return fmt.Sprintf("%.*f", decimals, x)
}
