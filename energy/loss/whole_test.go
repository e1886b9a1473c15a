package loss

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"joulewell/energy"
)

// holes returns the paths of all numbers in v that are not finite.
func holes(path string, v reflect.Value) []string {
	var all []string
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			all = append(all, fmt.Sprintf("%s = %g", path, f))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			all = append(all, holes(path+"."+v.Type().Field(i).Name, v.Field(i))...)
		}
	case reflect.Slice:
		for i := range v.Len() {
			all = append(all, holes(fmt.Sprintf("%s[%d]", path, i), v.Index(i))...)
		}
	case reflect.Pointer:
		if !v.IsNil() && v.Type().Elem().PkgPath() == reflect.TypeFor[Ledger]().PkgPath() {
			all = holes(path, v.Elem())
		}
	}
	return all
}

func finite(t *testing.T, what string, v any) {
	t.Helper()
	if h := holes(what, reflect.ValueOf(v)); len(h) > 0 {
		t.Errorf("not finite: %s", strings.Join(h, ", "))
	}
}

func TestFiniteSeesHoles(t *testing.T) {
	l := Ledger{Air: &Range{0, math.NaN()}, Budget: []Contribution{{U: math.Inf(1)}}}
	if h := holes("ledger", reflect.ValueOf(l)); len(h) != 2 {
		t.Errorf("holes = %v, want two", h)
	}
}

// From noisy positions to the ledger, the whole way: a drop after a hold, a run with a
// gap, and force readings beside it.
func TestWholeWay(t *testing.T) {
	rng := rand.New(rand.NewPCG(71, 1))
	a := place()
	a.Spring.Rate = energy.Estimate{Value: 25, U: 0.1}
	rest := a.Equilibrium()
	omega := math.Sqrt(25 / (0.25 + 0.01/3))
	s := swing{neutral: rest, amplitude: 0.05, decay: 0.05, omega: omega, phase: math.Pi}
	moving := s.smoothed(rng, 80, 14, 4e-4, 5)
	samples := make([]Sample, 0, len(moving)+200)
	held := moving[0].Extension.U
	for i := range 160 {
		samples = append(samples, Sample{T: -2.05 + float64(i)/80, Extension: energy.Estimate{Value: rest - 0.05 + held*rng.NormFloat64(), U: held}, Velocity: energy.Estimate{Value: 4e-3 * rng.NormFloat64(), U: 4e-3}})
	}
	samples = cut(append(samples, moving...), 6, 7.1)
	found, err := TurningPoints(samples, Options{HeldFrom: -2.05, HeldTo: -0.05})
	if err != nil {
		t.Fatal(err)
	}
	finite(t, "turning points", found)
	record := found.Longest()
	if len(found.Lost) != 1 || found.Lost[0].Count < 3 || !record[0].Release {
		t.Errorf("lost %+v, first %+v", found.Lost, record[0])
	}
	evidence, err := Compare(record)
	if err != nil {
		t.Fatal(err)
	}
	finite(t, "evidence", evidence)
	ch := channels
	ch.Delay = energy.Estimate{U: 1e-4}
	var points []Point
	for i := range 14 * 80 {
		at := float64(i) / 80
		x, v, _ := s.at(at)
		points = append(points, Point{at, x + 4e-4*rng.NormFloat64(), 25*x + 0.0253*v + ch.Force*rng.NormFloat64()}) // all loss inside the spring: c = 2 m decay
	}
	ch.Extension = 4e-4
	loops, err := Loops(points, record, ch)
	if err != nil {
		t.Fatal(err)
	}
	finite(t, "loops", loops)
	l, err := Balance(Entries{Apparatus: a, Record: record, From: 0, To: len(record) - 1, Offset: 3e-4, Scale: 1e-3,
		Evidence: &evidence, Loops: &loops, Drag: &Drag{Area: 2e-3, Coefficient: Sphere(), Air: RoomAir()}})
	if err != nil {
		t.Fatal(err)
	}
	finite(t, "ledger", l)
	x0, _, _ := s.at(0)
	end := record[len(record)-1].T.Value
	truth := 12.5 * ((x0-rest)*(x0-rest) - 0.0025*math.Exp(-0.1*end))
	near(t, "lost", l.Lost.Value, truth, 2.5*l.Lost.U)
	near(t, "residual", l.Residual.Value, 0, 2.5*l.Residual.U)
	if l.account(ByAir) != nil {
		near(t, "viscous friction not in the spring", l.account(ByAir).Work.Value, 0, 2.5*l.account(ByAir).Work.U)
	}
	t.Logf("%s\n%s", l.Sentence, evidence.Sentence)
	for _, account := range l.Accounts {
		t.Logf("%s: %s", account.Name, joules(account.Work.Value, 2*account.Work.U))
	}
	t.Logf("residual: %s; budget %+v", joules(l.Residual.Value, 2*l.Residual.U), l.Budget)
}

// Whatever comes in, what comes out is an error or finite.
func TestNothingButErrorsOrNumbers(t *testing.T) {
	odd := []float64{0, 1e-300, 1e300, -1, math.NaN(), math.Inf(1), 1e-12, 1e9}
	rng := rand.New(rand.NewPCG(72, 1))
	pick := func(v float64) float64 {
		if rng.IntN(400) == 0 {
			return odd[rng.IntN(len(odd))]
		}
		return v
	}
	errs, kept := 0, 0
	for range 400 {
		s := bench(rng)
		s.decay = rng.Float64()
		samples := s.noisy(rng, 40+100*rng.Float64(), 1+8*rng.Float64(), 1e-4, 4e-3)
		if n := rng.IntN(len(samples)); rng.IntN(2) == 0 {
			p := &samples[n]
			p.Extension.Value, p.Velocity.Value, p.T = pick(p.Extension.Value), odd[rng.IntN(len(odd))], pick(p.T)
			p.Extension.U, p.Velocity.U, p.Covariance, p.Gap = pick(p.Extension.U), pick(p.Velocity.U), pick(0), rng.IntN(2) == 0
		}
		found, err := TurningPoints(samples, Options{})
		if err != nil {
			errs++
			continue
		}
		finite(t, "turning points", found)
		record := append([]Turning(nil), found.Longest()...)
		for i := range record {
			record[i].Extension.Value, record[i].Extension.U = pick(record[i].Extension.Value), pick(record[i].Extension.U)
			record[i].T.Value, record[i].T.U = pick(record[i].T.Value), pick(record[i].T.U)
		}
		if p, err := Period(record); err == nil {
			finite(t, "period", p)
		}
		if line, err := MidLine(record); err == nil {
			finite(t, "mid-line", line)
		}
		if series, err := Amplitudes(record); err == nil {
			finite(t, "amplitudes", series)
		}
		e := Entries{Apparatus: place(), Record: record, To: len(record) - 1, Drag: &Drag{Area: 2e-3, Coefficient: Sphere(), Air: RoomAir()}}
		if evidence, err := Compare(record); err == nil {
			finite(t, "evidence", evidence)
			e.Evidence = &evidence
		}
		l, err := Balance(e)
		if err != nil {
			errs++
			continue
		}
		kept++
		finite(t, "ledger", l)
	}
	if errs == 0 || kept == 0 {
		t.Errorf("%d refused and %d kept: nothing was tried", errs, kept)
	}
}
