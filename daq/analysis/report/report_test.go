package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"joulewell/daq/analysis"
	"joulewell/daq/setup"
	"joulewell/energy"
	"joulewell/energy/loss"
)

func about(v, u float64) energy.Estimate { return energy.Estimate{Value: v, U: u} }

// sample is a run with something in every field.
func sample() (*setup.Bench, *analysis.Run) {
	turn := func(i int, release bool) analysis.Turn {
		return analysis.Turn{
			Turning:  loss.Turning{T: about(1+0.3*float64(i), 1e-3), Extension: about(0.002+0.19*float64(i%2), 5e-4), Index: i, Release: release},
			Height:   about(0.8, 1e-3),
			Energies: energy.Energies{Elastic: about(0.48, 2e-3), Gravitational: about(1.6, 1e-3), Total: about(2.08, 2.5e-3)},
		}
	}
	s := analysis.Swing{From: 1.02, To: 9, HeldFrom: 0.1, HeldTo: 0.8, CyclesPerRow: 2, Period: &energy.Estimate{Value: 0.631, U: 1e-4}, Decrease: &energy.Estimate{Value: 0.0312, U: 5e-4}}
	s.Push = &analysis.Push{Speed: energy.Estimate{Value: -0.2, U: 0.02}, Pushed: true}
	for i := range 30 {
		s.Turns = append(s.Turns, turn(i, i == 0))
		s.Record = append(s.Record, s.Turns[i].Turning)
	}
	s.Whole = &loss.Ledger{
		From: 1, To: 8.5, Swing: about(0.12, 2e-3), Change: about(-0.062, 1.4e-3), Lost: about(0.062, 1.4e-3), Residual: about(0.06, 1.4e-3),
		Accounts: []loss.Account{{Name: loss.InSpring, Work: about(0.002, 1e-3), From: "loops"}},
		Air:      &loss.Range{Low: 1e-3, High: 3e-3}, Sentence: "lost 62.0 mJ ± 2.8 mJ (k = 2) of 120 mJ",
		Budget: []loss.Contribution{{Input: "spring rate", U: 1e-3}}, Notes: []string{"decay: cannot tell", "look for sway"},
	}
	s.Rows = []loss.Ledger{*s.Whole}
	s.Evidence = &loss.Evidence{Sentence: "cannot tell", Candidates: []loss.Candidate{{Fit: loss.Fit{Model: loss.Models()[1], ChiSquared: 57, Freedom: 75}, Weight: 0.4}}}
	s.Loops = &loss.LoopSet{PerCycle: about(5e-4, 1e-4), Loops: make([]loss.Loop, 12)}
	b := &setup.Bench{Name: "Tamar", SpringLabel: "spring S-4", BobLabel: "brass bob"}
	return b, &analysis.Run{Length: 12, Noise: 1e-3, HalfWidth: 0.1, Swings: []analysis.Swing{s}, Notes: []string{"a note"}}
}

func TestTextSaysWhatIsKnown(t *testing.T) {
	b, r := sample()
	var out bytes.Buffer
	if err := Text(&out, "tamar.csv", b, r); err != nil {
		t.Fatal(err)
	}
	text := out.String()
	for _, want := range []string{
		"tamar.csv: bench Tamar, brass bob on spring S-4",
		"let go just before 1.00 s; held from 0.10 s to 0.80 s",
		"period 0.63100 ± 0.00020 s",
		"amplitude falls by 3.12 ± 0.10 % a cycle, on the mean",
		"2.0 ± 1.0", "480.0 ± 4.0", "2080.0 ± 5.0", // expanded, k = 2, in mm and mJ
		"...",
		"viscous    0.0     40 %    57 / 75",
		"0.50 mJ ± 0.20 mJ a cycle stay in the spring (mean of 12 cycles)",
		"gone from the swing   62.0 mJ ± 2.8 mJ",
		"- inside the spring     2.0 mJ ± 2.0 mJ",
		"between 1.0 mJ and 3.0 mJ",
		"note: look for sway", "note: a note",
		"=> lost 62.0 mJ ± 2.8 mJ (k = 2) of 120 mJ",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("text does not say %q:\n%s", want, text)
		}
	}
	if strings.Contains(text, "note: decay") {
		t.Error("the decay is told twice")
	}
	for _, line := range strings.Split(text, "\n") {
		if len([]rune(line)) > 150 {
			t.Errorf("a line of %d characters: %s", len([]rune(line)), line)
		}
	}
}

// Every number in the object has its unit in its key or its parent's; nothing is null.
func TestJSONKeysNameUnits(t *testing.T) {
	b, r := sample()
	var out bytes.Buffer
	if err := JSON(&out, "tamar.csv", b, r); err != nil {
		t.Fatal(err)
	}
	var o map[string]any
	if err := json.Unmarshal(out.Bytes(), &o); err != nil {
		t.Fatal(err)
	}
	unit := regexp.MustCompile(`_(s|m|J|m_s)$`)
	pure := regexp.MustCompile(`^(rows|distances|forces|index|cycles_per_row|velocity_share_put_back|amplitude_share_lost_per_cycle|aicc_above_best|evidence_share|chi_squared|degrees_of_freedom)$`)
	seen := 0
	var walk func(path, key string, v any)
	walk = func(path, key string, v any) {
		switch v := v.(type) {
		case nil:
			t.Errorf("%s is null", path)
		case map[string]any:
			for k, w := range v {
				under := k
				if k == "value" || k == "u" {
					under = key
				}
				walk(path+"."+k, under, w)
			}
		case []any:
			for i, w := range v {
				walk(fmt.Sprintf("%s[%d]", path, i), key, w)
			}
		case float64:
			seen++
			if !unit.MatchString(key) && !pure.MatchString(key) {
				t.Errorf("%s = %g does not name its unit", path, v)
			}
		}
	}
	walk("", "", o)
	if seen < 100 {
		t.Errorf("only %d numbers seen", seen)
	}
	swing := o["swings"].([]any)[0].(map[string]any)
	lost := swing["whole"].(map[string]any)["lost_J"].(map[string]any)
	if lost["value"] != 0.062 || lost["u"] != 1.4e-3 {
		t.Errorf("lost_J = %v: must be the standard uncertainty", lost)
	}
	if _, there := swing["decay_law"]; there {
		t.Error("decay_law is there without a verdict")
	}
}

// A number that JSON cannot hold is an error, never half an object.
func TestJSONRefusesWhatIsNotANumber(t *testing.T) {
	b, r := sample()
	r.Noise = math.NaN()
	var out bytes.Buffer
	if err := JSON(&out, "tamar.csv", b, r); err == nil || out.Len() > 0 {
		t.Errorf("error %v, %d bytes written", err, out.Len())
	}
}
