package worksheet

import (
	"math"
	"math/rand/v2"
	"testing"
)

// hand multiplies or adds two by two in an order of its own, rounding to n digits or finer
// now and then.
func hand(r *rand.Rand, n int, parts []float64, op func(a, b float64) float64) float64 {
	round := func(v float64) float64 {
		if more := r.IntN(4); v != 0 && more < 3 {
			step := math.Pow10(int(math.Floor(math.Log10(math.Abs(v)))) - n - more + 1)
			return math.Round(v/step) * step
		}
		return v
	}
	rest := make([]float64, len(parts))
	for i, p := range parts {
		rest[i] = round(p)
	}
	for len(rest) > 1 {
		r.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
		last := len(rest) - 1
		v := op(rest[last], rest[last-1])
		if rest = append(rest[:last-1], v); len(rest) > 1 {
			rest[len(rest)-1] = round(v)
		}
	}
	return rest[0]
}

// Whatever order and whatever rounding, what comes out lies within the bounds; and the
// bounds are no wider than what comes out of many tries, or little. Tried on numbers of
// six digits, so that the digits of the readings play no part.
func TestBoundsHoldAndAreTight(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 4))
	d := digits(3)
	var widest, tried float64
	for range 300 {
		n := 2 + r.IntN(3)
		parts, figures := make([]float64, n), make([]Figure, n)
		for i := range parts {
			parts[i] = math.Round(1e5*(1+9*r.Float64())) / 1e6
			figures[i] = d.carried(Figure{parts[i], parts[i], -6})
		}
		op, combine := func(a, b float64) float64 { return a * b }, times
		if r.IntN(2) == 0 {
			op, combine = func(a, b float64) float64 { return a + b }, plus
		}
		f := d.anyOrder(figures, combine)
		low, high := math.Inf(1), math.Inf(-1)
		for range 2000 {
			v := hand(r, 3, parts, op)
			low, high = min(low, v), max(high, v)
		}
		if spare := 1e-12 * high; low < f.Low-spare || high > f.High+spare {
			t.Fatalf("%v come out between %g and %g: outside of %g to %g", parts, low, high, f.Low, f.High)
		}
		widest += f.High - f.Low
		tried += high - low
	}
	if ratio := widest / tried; ratio > 1.25 {
		t.Errorf("bounds are %.2f times as wide as what comes out of 2000 tries", ratio)
	} else {
		t.Logf("bounds are %.2f times as wide as what comes out of 2000 tries", ratio)
	}
}

// What the digits of the readings leave, by the common rules (common practice, no
// source): a product has as many as the factor with the fewest, a sum ends where the
// coarsest term ends.
func TestDigitsOfReadings(t *testing.T) {
	cm := Figure{0.090, 0.090, -3} // 9.0 cm
	kg := Figure{0.2501, 0.2501, -4}
	for _, c := range []struct {
		name string
		f    Figure
		want int
	}{
		{"0.2501 times 0.090 has two digits", times(kg, cm), -3},
		{"and so has 0.090 over 0.2501", over(cm, kg), -2},
		{"0.2501 and 0.090 end at the third place", plus(kg, cm), -3},
		{"half of it has as many", times(number(0.5), kg), -4},
		{"nothing of it is nothing", times(number(0), kg), exact},
	} {
		if c.f.Place != c.want {
			t.Errorf("%s: place %d, want %d", c.name, c.f.Place, c.want)
		}
	}
	if f := over(kg, Figure{-0.1, 0.1, -1}); !math.IsNaN(f.Low) {
		t.Errorf("over what may be zero: %v", f)
	}
}

// A figure written 0.101 was anything that rounds to it, or may be carried on as 0.10
// where two digits do.
func TestWritten(t *testing.T) {
	right := Figure{0.10125, 0.10125, -2}
	for _, c := range []struct {
		d         digits
		low, high float64
	}{{3, 0.10, 0.1015}, {4, 0.1005, 0.1015}} {
		f := c.d.written(0.101, -3, right)
		near(t, "low", f.Low, c.low, 1e-12)
		near(t, "high", f.High, c.high, 1e-12)
	}
}

func TestFormulaText(t *testing.T) {
	for want, e := range map[string]Expr{
		"0.5 k X1 X1 + F0 X1":    Add(Mul(Num(0.5), Val(Rate), Val(StartExtension), Val(StartExtension)), Mul(Val(InitialTension), Val(StartExtension))),
		"H - h1 - l_b":           Add(Val(SupportHeight), less(Val(StartHeight)), less(Val(BobLength))),
		"lost / (-dEg)":          Div(Val(Lost), less(Val(GravitationalChange))),
		"-(E1 - E2)":             less(Add(Val(StartTotal), less(Val(EndTotal)))),
		"m_s g (H - (L1 / 2) g)": Mul(Val(SpringMass), Val(Gravity), Add(Val(SupportHeight), less(Mul(Div(Val(StartLength), Num(2)), Val(Gravity))))),
	} {
		if got := e.String(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
