package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"joulewell/energy"
)

const perDay = 1.0 / 86400

// drifting makes n records a few days apart, unevenly, of a drift [N/day] and a
// temperature coefficient [N/K], with scatter sd; u is what the records state.
func drifting(r *rand.Rand, n int, rate, coefficient, sd, u float64) History {
	h := History{Unit: Newtons}
	days := 0.0
	for range n {
		days += 1 + 6*r.Float64()
		air := 21 + 3*r.NormFloat64()
		one := massRecord(days, 0.002+rate*days+coefficient*(air-21)+sd*r.NormFloat64(), u)
		one.Air = air
		h.Records = append(h.Records, one)
	}
	return h
}

// Without scatter the fit gives back what was put in.
func TestTrendGivesBackWhatWasPutIn(t *testing.T) {
	h := drifting(rand.New(rand.NewPCG(1, 1)), 12, 1e-4, -3e-4, 0, 1e-4)
	tr, err := h.Trend(0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rate per day", tr.Rate.Value/perDay, 1e-4, 1e-11)
	near(t, "coefficient", tr.Temperature.Value, -3e-4, 1e-11)
	if tr.FromScatter || tr.Unknown != "" || !tr.Significant() {
		t.Errorf("%+v", tr)
	}
	for i := range h.Records {
		h.Records[i].Air = math.NaN()
		h.Records[i].Indication.Value = 1.962 + 0.002 + 1e-4*h.Records[i].When.Sub(day(0)).Hours()/24
	}
	if tr, err = h.Trend(0.95); err != nil {
		t.Fatal(err)
	}
	near(t, "rate per day", tr.Rate.Value/perDay, 1e-4, 1e-11)
	near(t, "deviation at day 100", tr.At(day(100)).Value, 0.012, 1e-10)
	if tr.Temperature.Known() || tr.Unknown == "" {
		t.Errorf("a temperature coefficient of records without temperature: %+v", tr)
	}
	// The line's interval turns about the middle of the records and widens from there.
	if in, out := tr.At(day(25)).U, tr.At(day(200)).U; !(in < out/3) {
		t.Errorf("uncertain by %g within the records, by %g far from them", in, out)
	}
}

// Another route to both coefficients and their uncertainties: the normal equations in
// three unknowns, solved at once.
func TestTrendAgainstNormalEquations(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	for _, stated := range []bool{true, false} {
		h := drifting(r, 30, 2e-5, 1e-4, 5e-4, 0)
		if stated {
			for i := range h.Records {
				h.Records[i].Indication.U = 5e-4 * (1 + r.Float64())
			}
		}
		tr, err := h.Trend(0.95)
		if err != nil {
			t.Fatal(err)
		}
		if tr.FromScatter == stated {
			t.Errorf("stated %v, from scatter %v", stated, tr.FromScatter)
		}
		s := h.series()
		a, y := mat.NewDense(len(s.time), 3, nil), mat.NewVecDense(len(s.time), nil)
		for i := range s.time {
			w := 1.0
			if stated {
				w = 1 / s.u[i]
			}
			a.SetRow(i, []float64{w, w * s.time[i] * 1e-6, w * (s.air[i] - 20)})
			y.SetVec(i, w*s.deviation[i])
		}
		var ata, inverse mat.Dense
		var aty, x, fitted mat.VecDense
		ata.Mul(a.T(), a)
		aty.MulVec(a.T(), y)
		if err := inverse.Inverse(&ata); err != nil {
			t.Fatal(err)
		}
		x.MulVec(&inverse, &aty)
		scale := 1.0
		if !stated {
			fitted.MulVec(a, &x)
			fitted.SubVec(&fitted, y)
			scale = mat.Norm(&fitted, 2) / math.Sqrt(27)
		}
		near(t, "rate, relative", tr.Rate.Value/(x.AtVec(1)*1e-6), 1, 1e-8)
		near(t, "its uncertainty, relative", tr.Rate.U/(scale*math.Sqrt(inverse.At(1, 1))*1e-6), 1, 1e-8)
		near(t, "coefficient, relative", tr.Temperature.Value/x.AtVec(2), 1, 1e-8)
		near(t, "its uncertainty, relative", tr.Temperature.U/(scale*math.Sqrt(inverse.At(2, 2))), 1, 1e-8)
	}
}

// Intervals of 90 % hold the true rate in 90 % of histories: with uncertainties stated
// rightly, not stated, and stated far too small; with temperature and without.
func TestTrendIntervalsCover(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	const tries, rate, sd = 1500, 3e-5, 4e-4
	for name, u := range map[string]float64{"stated": sd, "not stated": 0, "too small": sd / 5} {
		for _, logged := range []bool{true, false} {
			held := 0
			for range tries {
				coefficient := 2e-4
				if !logged {
					coefficient = 0
				}
				h := drifting(r, 10, rate, coefficient, sd, u)
				if !logged {
					for i := range h.Records {
						h.Records[i].Air = math.NaN()
					}
				}
				tr, err := h.Trend(0.9)
				if err != nil {
					t.Fatal(err)
				}
				if tr.Low <= rate*perDay && rate*perDay <= tr.High {
					held++
				}
			}
			// 1500 tries scatter by 0.8 %.
			if share := float64(held) / tries; math.Abs(share-0.9) > 0.025 {
				t.Errorf("uncertainty %s, temperature %v: intervals of 90 %% hold in %.3f", name, logged, share)
			}
		}
	}
}

func TestTemperatureToldOnlyWhenItCanBe(t *testing.T) {
	h := drifting(rand.New(rand.NewPCG(4, 4)), 9, 0, 1e-3, 1e-4, 1e-4)
	for word, spoil := range map[string]func(i int, r *Record){
		"not logged":   func(i int, r *Record) { r.Air = []float64{20, math.NaN(), 22}[i%3] },
		"varied by":    func(i int, r *Record) { r.Air = 21 + 0.3*float64(i%2) },
		"varied by 0 ": func(i int, r *Record) { r.Air = 21 },
		"told apart":   func(i int, r *Record) { r.Air = 20 + r.When.Sub(day(0)).Hours()/100 },
	} {
		one := h.Since(day(0))
		for i := range one.Records {
			spoil(i, &one.Records[i])
		}
		tr, err := one.Trend(0.95)
		if err != nil {
			t.Fatal(err)
		}
		if tr.Temperature.Known() {
			t.Errorf("%s: coefficient %+v", word, tr.Temperature)
		}
		refused(t, textError(tr.Unknown), word)
	}
	few := History{Newtons, h.Records[:4]}
	if tr, err := few.Trend(0.95); err != nil || tr.Temperature.Known() {
		t.Errorf("of four records: %+v, %v", tr, err)
	}
}

type textError string

func (e textError) Error() string { return string(e) }

func TestTrendRefusals(t *testing.T) {
	alike := History{Newtons, []Record{massRecord(0, 0.001, 0), massRecord(1, 0.001, 0), massRecord(2, 0.001, 0)}}
	_, err := alike.Trend(0.95)
	refused(t, err, "alike", "resolution")
	_, err = History{Newtons, alike.Records[:2]}.Trend(0.95)
	refused(t, err, "2 records", "3")
	other := massRecord(3, 0.001, 0)
	other.Standard = "M-2"
	_, err = History{Newtons, append(alike.Records, other)}.Trend(0.95)
	refused(t, err, "mixed", "M-2")
	once := History{Newtons, []Record{massRecord(0, 1e-3, 1e-3), massRecord(0, 2e-3, 1e-3), massRecord(0, 3e-3, 1e-3)}}
	_, err = once.Trend(0.95)
	refused(t, err, "different x")
	_, err = drifting(rand.New(rand.NewPCG(5, 5)), 9, 0, 0, 1e-3, 1e-3).Trend(1)
	refused(t, err, "probability")
}

// Three standards, each off by an amount of its own; zero and span drift come out as put
// in, and within their uncertainties with scatter.
func TestSpanDrift(t *testing.T) {
	const zero, span = 2e-4 * perDay, -5e-5 * perDay
	build := func(sd float64, r *rand.Rand) History {
		h := History{Unit: Newtons}
		for i := range 30 {
			one := massRecord(3*float64(i), 0, 1e-4)
			one.Standard = []string{"", "M-1", "M-2"}[i%3]
			if i%3 == 0 {
				one.What = Zero
			}
			one.Reference = energy.Estimate{Value: []float64{0, 1.962, 4.905}[i%3], U: 0.001}
			seconds := one.When.Sub(day(0)).Seconds()
			one.Indication.Value = one.Reference.Value + []float64{0.001, -0.002, 0.003}[i%3] +
				(zero+span*one.Reference.Value)*seconds + sd*r.NormFloat64()
			h.Records = append(h.Records, one)
		}
		return h
	}
	r := rand.New(rand.NewPCG(6, 6))
	got, err := build(0, r).SpanDrift()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "zero per day", got.Zero.Value/perDay, 2e-4, 1e-12)
	near(t, "span per day", got.Span.Value/perDay, -5e-5, 1e-12)
	if got.Loads != 3 {
		t.Errorf("%d loads, want 3", got.Loads)
	}
	var zeros, spans float64 // mean squares in standard uncertainties: 1 when these are right
	const tries = 500
	for range tries {
		// The trends are fitted with stated uncertainties, or now and then from the scatter.
		one, err := build(1e-4, r).SpanDrift()
		if err != nil {
			t.Fatal(err)
		}
		zeros += math.Pow((one.Zero.Value-zero)/one.Zero.U, 2) / tries
		spans += math.Pow((one.Span.Value-span)/one.Span.U, 2) / tries
	}
	near(t, "mean square of the zero's drift", zeros, 1, 0.25)
	near(t, "mean square of the span's drift", spans, 1, 0.25)
	_, err = build(0, r).Of(Zero, "").SpanDrift()
	refused(t, err, "1 load ", "2")
	_, err = History{Newtons, build(0, r).Records[:7]}.SpanDrift()
	refused(t, err, "1 load ", "2")
	_, err = History{Unit: "kg"}.SpanDrift()
	refused(t, err, "kg")
}
