package rehearsal

import (
	"fmt"
	"io"
	"math"

	"saltmark/internal/circuit"
)

// Row is what was true of one injection.
type Row struct {
	Session         string
	Injection       int
	Circuit         string
	WeightKg        float64
	Shunt           string
	Postductal      bool
	Truth           circuit.Truth
	Mistake, Words  string
	Expects         string
	Refused, Struck bool
}

// row is what was true of an injection. A mistake of the session stands in each of its
// rows; Struck is the one whose recording was spoiled.
func (s *session) row(i int) Row {
	j := s.injections[i]
	return Row{
		Session: s.id, Injection: i + 1, Circuit: s.circuit.Name(), WeightKg: s.scenario.WeightKg,
		Shunt: s.shuntText(), Postductal: s.scenario.Postductal, Truth: j.run.Truth,
		Mistake: s.mistake.name, Words: s.mistake.words, Expects: s.mistake.expects, Refused: s.mistake.refused, Struck: j.mistake != "",
	}
}

// shuntText says which way blood crosses, at which level.
func (s *session) shuntText() (text string) {
	c := s.scenario.Shunts
	for _, level := range []struct {
		name string
		circuit.Crossing
	}{{"atrial", c.Atrial}, {"ventricular", c.Ventricular}, {"ductal", c.Ductal}} {
		for _, way := range []struct {
			words   string
			flowMLs float64
		}{{"left to right", level.LeftToRight}, {"right to left", level.RightToLeft}} {
			if way.flowMLs > 0 {
				if text != "" {
					text += ", "
				}
				text += fmt.Sprintf("%s %s %.2g of Qs", level.name, way.words, way.flowMLs/s.scenario.FlowMLs)
			}
		}
	}
	if text == "" {
		return "none"
	}
	return text
}

// WriteTruth writes the rows as a table with tabs between its columns.
func WriteTruth(w io.Writer, rows []Row) error {
	_, err := io.WriteString(w, "session\tinjection\tcircuit\tweight kg\tshunt\tcatheter\tflow L/min\tpulmonary flow L/min\tcentral volume mL\tdistribution volume mL\tmistake\twhat was done\trule that has to find it\tcharted\n")
	for _, r := range rows {
		if err != nil {
			return err
		}
		catheter := "preductal"
		if r.Postductal {
			catheter = "postductal"
		}
		charted := "yes"
		if r.Refused {
			charted = "no"
		}
		mistake := r.Mistake
		if r.Struck {
			mistake += " (here)"
		}
		_, err = fmt.Fprintf(w, "%s\t%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", r.Session, r.Injection, r.Circuit, cell(r.WeightKg), r.Shunt, catheter,
			cell(r.Truth.FlowMLs*0.06), cell(r.Truth.PulmonaryMLs*0.06), cell(r.Truth.CentralML), cell(r.Truth.DistributionML), mistake, r.Words, r.Expects, charted)
	}
	return err
}

// cell is a number with four digits, nothing where there is none.
func cell(x float64) string {
	if math.IsNaN(x) || x == 0 {
		return ""
	}
	return fmt.Sprintf("%.4g", x)
}
