package illustrate_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltmark/internal/chart"
	"saltmark/internal/derive"
	"saltmark/internal/dilution"
	"saltmark/internal/illustrate"
	"saltmark/internal/picture"
	"saltmark/internal/site"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

var update = flag.Bool("update", false, "rewrite the goldens")

const folder = "../../testdata/sheets"

// session reads the demo sheet with recordings, changed; its curves and computations are
// replaced by invented ones, so that nothing here hangs on them or on the method.
func session(t *testing.T, changes ...string) (*record.Session, []derive.Computed) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, "27-with-traces.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(string(text), changes[i]) {
			t.Fatalf("the sheet does not hold %q", changes[i])
		}
		text = []byte(strings.ReplaceAll(string(text), changes[i], changes[i+1]))
	}
	s, found := chart.Traced("27.yaml", text, chart.Options{Site: site.Demo(), Open: func(name string) ([]byte, error) {
		return os.ReadFile(filepath.Join(folder, name))
	}})
	if s == nil || found.HasErrors() {
		t.Fatal(found)
	}
	computed := derive.Curves(s)
	if len(computed) != 2 {
		t.Fatalf("%d injections", len(computed))
	}
	computed[0].Input.Arterial, computed[0].Input.Venous = straight(), straight()
	computed[0].Result = invented(computed[0].Input)
	return s, computed[:1]
}

// straight is a recording of 40 s in which nothing happens.
func straight() dilution.Curve {
	return dilution.Curve{StartS: -10, StepS: 0.05, Values: make([]float64, 801), Unit: dilution.Percent, Lower: math.NaN(), Upper: math.NaN()}
}

// invented is a result with every part.
func invented(in dilution.Input) dilution.Result {
	n := len(in.Arterial.Values)
	first := make([]float64, n)
	for i := range first {
		t := in.Arterial.StartS + float64(i)*in.Arterial.StepS
		first[i] = 0.048 * math.Exp(-(t-8.5)*(t-8.5)/12)
	}
	separation := func(name string, flow float64) dilution.Separation {
		return dilution.Separation{Name: name, FlowMLs: flow, AreaS: 2.5 / flow, FromS: 6, ToS: 11, FirstPass: first}
	}
	return dilution.Result{
		Faults: []dilution.Fault{
			{Rule: "curve-clipped", Sensor: "arterial", AtS: 8.5, Found: 0.0481, Allowed: math.NaN()},
			{Rule: "injection-unsteady", Sensor: "venous", AtS: 2, Found: 0.4, Allowed: 0.25},
		},
		Quality: dilution.Quality{
			SignalToNoise: [3]float64{96, 210, 350}, DriftPerMin: -0.021, Residual: 0.009, Disagreement: 0.045,
			InjectionS: 3.2, InjectionUnsteadiness: 0.08, VolumePerKg: 2.5 / 3,
		},
		EntryMeanS: 3.1, ArterialBaseline: dilution.Baseline{FromS: -10, ToS: 4, Level: 0.0001, SlopePerS: 0.00001},
		VenousBaseline: dilution.Baseline{FromS: -10, ToS: 0},
		GridStartS:     in.Arterial.StartS, GridStepS: in.Arterial.StepS, Arterial: first, Venous: first, Fit: first,
		ArrivalS: 5, PeakS: 8.5,
		Flow:        dilution.Estimate{Value: 10.1, SD: 0.31},
		Separations: []dilution.Separation{separation("closed-loop", 10.1), separation("exponential", 9.8), separation("gamma-variate", 10.4), {Name: "moments", Withheld: dilution.BaselineShort}},
		Transit:     dilution.Estimate{Value: 6.04, SD: 0.2}, CentralML: dilution.Estimate{Value: 61.2, SD: 2},
		DispersionML: dilution.Estimate{Value: 40, SD: 4}, Distribution: dilution.Estimate{Withheld: dilution.BaselineShort},
		LeftToRight: dilution.Sign{Score: 0.05, Threshold: 0.18}, Early: dilution.Sign{Present: true, Score: 0.31, Threshold: 0.2},
	}
}

// said gives all words of a picture.
func said(p picture.Picture) string {
	var b strings.Builder
	b.WriteString(p.Title + "\n" + strings.Join(p.Head, "\n") + "\n")
	for _, block := range p.Blocks {
		fmt.Fprintf(&b, "\n%s\n", block.Title)
		for _, panel := range block.Panels {
			fmt.Fprintf(&b, "  %s: %s\n", panel.Title, panel.ValueTitle)
			for _, c := range panel.Curves {
				fmt.Fprintf(&b, "    line: %s\n", strings.TrimSuffix(c.Label+" / "+c.TailLabel, " / "))
			}
			for _, m := range panel.Marks {
				fmt.Fprintf(&b, "    at %g s: %s\n", m.AtS, m.Label)
			}
			for _, s := range panel.Spans {
				fmt.Fprintf(&b, "    %g to %g s: %s\n", s.FromS, s.ToS, s.Label)
			}
		}
		fmt.Fprintf(&b, "  %s\n\n%s\n", block.TimeTitle, strings.Join(block.Notes, "\n"))
	}
	return b.String()
}

func TestThePictureSaysTheGoldenWords(t *testing.T) {
	s, computed := session(t)
	for _, l := range measure.Languages() {
		path := filepath.Join("testdata", "words-"+l.Code()+".txt")
		got := said(illustrate.Session(s, computed, illustrate.Options{Language: l}))
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s differs from what is said:\n%s", path, got)
		}
	}
}

func TestAPictureSaysWhatItIsWorth(t *testing.T) {
	s, computed := session(t)
	for l, want := range map[measure.Language][]string{
		measure.English: {"Computed by this software", "tested on simulated circulations only", "Check against the monitor and the patient", "TEST DATA", "reported 0.598 L/min"},
		measure.German:  {"Von dieser Software berechnet", "nur an simulierten Kreisläufen getestet", "Mit Monitor und klinischem Bild abgleichen", "TESTDATEN", "gemeldet 0.598 L/min"},
	} {
		p := illustrate.Session(s, computed, illustrate.Options{Language: l})
		words := said(p)
		for _, w := range want {
			if !strings.Contains(words, w) || !strings.Contains(p.Description, w) {
				t.Errorf("%s: %q is not said in picture and description", l.Code(), w)
			}
		}
	}
}

func TestAPictureWithholdsWhatTheShuntsWithhold(t *testing.T) {
	s, computed := session(t)
	if words := said(illustrate.Session(s, computed, illustrate.Options{})); !strings.Contains(words, "entral blood volume: 61") {
		t.Errorf("without a shunt the volume is not shown:\n%s", words)
	}
	s, computed = session(t, "ductal: closed", "ductal: {state: open, direction: bidirectional}")
	words := said(illustrate.Session(s, computed, illustrate.Options{}))
	if strings.Contains(words, "61") || !strings.Contains(words, "entral blood volume: withheld (") {
		t.Errorf("with a duct right to left the volume is shown:\n%s", words)
	}
	if !strings.Contains(words, "NOT KNOWN WHICH FLOW THIS IS: ") {
		t.Errorf("the picture does not say that the flow is not determined:\n%s", words)
	}
}

// A picture that says more of a flow than the report does contradicts it.
func TestAPictureSaysOfTheFlowWhatTheReportSays(t *testing.T) {
	sign := []string{"    reported:\n      blood-flow: 0.622", "    shunt-sign: \"yes\"\n    reported:\n      blood-flow: 0.622"}
	for _, c := range []struct {
		what, says, never string
		changes           []string
	}{
		{"all closed", "This is the blood flow to the body. It is also the output of the left ventricle", "CONTRADICTION", nil},
		{"a sign against it", "This is the blood flow to the body. CONTRADICTION: injection 2 shows a sign of a left-to-right shunt", "left ventricle", sign},
		{"a duct left to right", "NOT the output of the left ventricle: the duct is open, left to right", "It is also", []string{"ductal: closed", "ductal: {state: open, direction: left-to-right}"}},
	} {
		s, computed := session(t, c.changes...)
		words := said(illustrate.Session(s, computed, illustrate.Options{}))
		if !strings.Contains(words, c.says) || strings.Contains(words, c.never) {
			t.Errorf("%s: the picture says\n%s", c.what, words)
		}
		conclusion := mapping.Conclusion(s, measure.English)
		words = said(illustrate.Session(s, computed, illustrate.Options{Conclusion: conclusion}))
		if strings.Contains(words, "This is the blood flow to the body.") || !strings.Contains(words, conclusion[0]) {
			t.Errorf("%s: below its conclusion the picture says\n%s", c.what, words)
		}
	}
}

func TestAPictureSaysThatASessionOrAnInjectionMustNotBeUsed(t *testing.T) {
	s, computed := session(t, "    volume: 2.5 mL\n    duration: 3 s", "    volume: 2.5 mL\n    excluded: air\n    duration: 3 s")
	if words := said(illustrate.Session(s, computed, illustrate.Options{})); !strings.Contains(words, "Injection 1 at 14:24, EXCLUDED (") {
		t.Errorf("the injection is not called excluded:\n%s", words)
	}
	s.Withdrawal = record.Withdrawal{By: "demo-person-9", At: s.End, Reason: "another child"}
	if words := said(illustrate.Session(s, computed, illustrate.Options{Language: measure.German})); !strings.Contains(words, "ZURÜCKGENOMMEN") || strings.Contains(words, "another child") {
		t.Errorf("that the session was taken back is not said as it should be:\n%s", words)
	}
}

func TestNoFlowStandsBesideACurveThatIsSpoiled(t *testing.T) {
	s, computed := session(t)
	r := &computed[0].Result
	r.Faults[0].Spoils = true
	words := strings.ReplaceAll(said(illustrate.Session(s, computed, illustrate.Options{})), "reported 0.598 L/min", "")
	if strings.Contains(words, "L/min") || !strings.Contains(words, "line: first pass: exponential downslope") {
		t.Errorf("a flow is said, or a line is missing:\n%s", words)
	}
}

func TestNothingOfThePatientIsInAPicture(t *testing.T) {
	s, computed := session(t)
	text := string(picture.SVG(illustrate.Session(s, computed, illustrate.Options{})))
	for _, private := range []string{s.Patient.Value, s.Encounter.Value, s.Operator, s.Verification.By, "2031-05-30"} {
		if private == "" || strings.Contains(text, private) {
			t.Errorf("%q is in the picture, or nowhere", private)
		}
	}
}

func TestAnyResultIsDrawn(t *testing.T) {
	s, computed := session(t)
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e300}
	for _, x := range odd {
		c := computed[0]
		r := invented(c.Input)
		r.Flow, r.Transit = dilution.Estimate{Value: x, SD: x}, dilution.Estimate{Value: 6, SD: x}
		r.ArrivalS, r.PeakS, r.GridStartS, r.GridStepS, r.EntryMeanS = x, x, x, x, x
		r.ArterialBaseline = dilution.Baseline{FromS: x, ToS: x, Level: x, SlopePerS: x}
		r.Separations[0].FlowMLs, r.Separations[1].ToS = x, x
		r.Faults[0].AtS, r.Quality.SignalToNoise = x, [3]float64{x, x, x}
		r.LeftToRight.Score = x
		c.Result, c.Input.DurationS = r, x
		c.Input.Arterial.StartS, c.Input.Venous.Unit = x, dilution.SoundSpeed
		for _, text := range []string{string(picture.SVG(illustrate.Session(s, []derive.Computed{c, {}}, illustrate.Options{})))} {
			if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
				t.Errorf("%v: it stands in the picture", x)
			}
		}
	}
}
