package analysis

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"joulewell/daq/virtual"
)

// holes returns the paths of all numbers in v that are not finite, unexported ones left
// out.
func holes(path string, v reflect.Value) []string {
	var all []string
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			all = append(all, fmt.Sprintf("%s = %g", path, f))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				all = append(all, holes(path+"."+f.Name, v.Field(i))...)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			all = append(all, holes(fmt.Sprintf("%s[%d]", path, i), v.Index(i))...)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			all = holes(path, v.Elem())
		}
	}
	return all
}

func TestHolesAreSeen(t *testing.T) {
	r := Run{Swings: []Swing{{States: []State{{Residual: math.NaN()}}}}, Delay: &Delay{Friction: math.Inf(1)}}
	if h := holes("run", reflect.ValueOf(r)); len(h) != 2 {
		t.Errorf("holes = %v, want two", h)
	}
}

// Benches drawn at random, good and bad, with something wrong on each: what comes out is a
// clear refusal or numbers, and the loss is what the simulation lost.
func TestRandomBenches(t *testing.T) {
	benches := repeats(60)
	faults := []string{"", "lost-echo=0.3", "echo-outlier=0.05", "noise-burst=6", "reset=0.5@6", "stuck-range=1@5", "freeze=1@6", "load-spike=0.02", "load-saturated=1.1", "push=0.2"}
	var whole tally
	refused, pushed := 0, 0
	for seed := range uint64(benches) {
		c := virtual.Random(seed)
		c.Spring.Coils = coils
		fault := faults[seed%uint64(len(faults))]
		if fault != "" {
			var err error
			if c.Faults, err = virtual.ParseFaults([]string{fault}); err != nil {
				t.Fatal(err)
			}
		}
		r, b, rig := record(t, c, 12)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			refused++
			t.Logf("seed %d, %s: %v", seed, fault, err)
			continue
		}
		if h := holes("run", reflect.ValueOf(*run)); len(h) > 0 {
			t.Errorf("seed %d, %s: not finite: %s", seed, fault, strings.Join(h[:min(3, len(h))], ", "))
		}
		for i := range run.Swings {
			s := &run.Swings[i]
			if strings.HasPrefix(fault, "push") && s.Record[0].Release {
				pushed++
				continue // the books then miss the push, as they say
			}
			from := s.Whole.From
			if s.Record[0].Release {
				from = s.HeldTo
			}
			a, z := rig.At(nanoseconds(from)), rig.At(nanoseconds(s.Whole.To))
			lost := z.Lost.Sum() - a.Lost.Sum()
			whole.add(s.Whole.Lost.Value, s.Whole.Lost.U, lost)
			if off := math.Abs(s.Whole.Lost.Value-lost) / s.Whole.Lost.U; off > 2 {
				t.Logf("seed %d, %s, %d points, ratio %.3f, %.0f/s, noise %.4f half %.3f: lost %.5f, u %.5f, truth %.5f (%.1f u) %q", seed, fault, len(s.Record),
					c.Spring.Mass/c.Bob.Mass, c.Ranger.Rate, run.Noise, run.HalfWidth, s.Whole.Lost.Value, s.Whole.Lost.U, lost, off, s.Notes)
			}
		}
	}
	t.Logf("loss of %d swings: %.3f inside 95 %% intervals, rms deviation %.2f u; %d runs refused, %d pushed", whole.n, whole.share(), whole.rms(), refused, pushed)
	if whole.n < benches/2 || whole.share() < 0.85 || whole.rms() > 1.4 {
		t.Errorf("want at least %d swings, 0.85 and at most 1.4", benches/2)
	}
}
