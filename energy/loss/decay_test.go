package loss

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// Amplitudes computed at 40 digits outside this project, each half swing confirmed by
// integration of the motion to 1e-14; the quadratic law through Lambert's W.
func TestModelsAgainstFortyDigits(t *testing.T) {
	var known struct {
		Viscous struct {
			Expected struct {
				Zeta  float64 `json:"zeta"`
				RHalf float64 `json:"r_half"`
				Lost  float64 `json:"E_loss_cycle"`
			} `json:"expected"`
			Ten float64 `json:"A10_over_A0"`
		} `json:"viscous"`
		Sliding struct {
			A0, F   float64
			Turning []float64
		} `json:"sliding"`
		OffGrid struct {
			A0, F   float64
			Turning []float64
			Rests   float64 `json:"rests_at"`
		} `json:"sliding_not_on_grid"`
		Quadratic struct {
			Pairs   []struct{ P, Q float64 }
			A0      float64
			Beta    float64
			Turning []float64
			Slope   float64 `json:"slope_of_1_over_A_small"`
		} `json:"quadratic"`
	}
	data, err := os.ReadFile("testdata/damping.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &known); err != nil {
		t.Fatal(err)
	}
	const rel = 1e-11

	v := known.Viscous
	d := math.Pi * v.Expected.Zeta / math.Sqrt(1-v.Expected.Zeta*v.Expected.Zeta)
	ten := viscous.Amplitudes(1, []float64{d}, 20)
	near(t, "viscous half cycle", ten[1], v.Expected.RHalf, rel)
	near(t, "viscous, ten cycles", ten[20], v.Ten, rel)
	near(t, "viscous work of a cycle", viscous.lost(1, []float64{d}, 0, 2)[0]*2, v.Expected.Lost, rel)

	for _, c := range []struct {
		name    string
		a0, f   float64
		turning []float64
		rests   float64
	}{
		{"sliding", known.Sliding.A0, known.Sliding.F, known.Sliding.Turning, known.Sliding.Turning[12]},
		{"sliding, off the grid", known.OffGrid.A0, known.OffGrid.F, known.OffGrid.Turning, known.OffGrid.Rests},
	} {
		got := sliding.Amplitudes(c.a0, []float64{c.f}, len(c.turning)+3)
		for i, want := range c.turning {
			near(t, c.name, got[i], want, rel)
		}
		for i, a := range got[len(c.turning):] {
			near(t, c.name+": rest", math.Abs(a), c.rests, rel)
			if i > 0 { // sides change with every half swing, the place must not
				near(t, c.name+": place of rest", a, -got[len(c.turning)+i-1], 0)
			}
		}
	}

	for _, c := range known.Quadratic.Pairs {
		near(t, "conjugate", conjugate(c.P), c.Q, rel*c.Q)
	}
	q := known.Quadratic
	got := quadratic.Amplitudes(q.A0, []float64{q.Beta}, len(q.Turning)-1)
	for i, want := range q.Turning {
		near(t, "quadratic", got[i], want, rel*want)
	}
	near(t, "growth of 1/A", 1/got[1]-1/got[0], q.Slope, 1e-4*q.Slope) // a limit for small drag
}

// integrate follows m dv/dt = -k x - friction over half a swing with k = m = 1, from
// rest at a, in fine steps of the classical fourth-order Runge-Kutta rule. It returns
// where the bob turns, as distance on the other side, and the work of each friction.
func integrate(a float64, friction []func(v float64) float64) (turn float64, work []float64) {
	const h = 1e-3
	slopes := func(x, v float64) (dx, dv float64) {
		dv = -x
		for _, f := range friction {
			dv -= f(v)
		}
		return v, dv
	}
	step := func(x, v, h float64) (float64, float64) {
		a1, b1 := slopes(x, v)
		a2, b2 := slopes(x+h/2*a1, v+h/2*b1)
		a3, b3 := slopes(x+h/2*a2, v+h/2*b2)
		a4, b4 := slopes(x+h*a3, v+h*b3)
		return x + h/6*(a1+2*a2+2*a3+a4), v + h/6*(b1+2*b2+2*b3+b4)
	}
	work = make([]float64, len(friction))
	x, v := a, -1e-300 // sets out upward
	for {
		nx, nv := step(x, v, h)
		_, mv := step(x, v, h/2)
		if nv >= 0 {
			break
		}
		for i, f := range friction { // Simpson's rule for the power
			work[i] += h / 6 * (f(v)*v + 4*f(mv)*mv + f(nv)*nv)
		}
		x, v = nx, nv
	}
	for range 60 { // the rest of the last step: to v = 0 by Newton
		_, dv := slopes(x, math.Min(v, -1e-300))
		if v >= 0 || -v/dv < 1e-16 {
			break
		}
		x, v = step(x, v, -v/dv)
	}
	return -x, work
}

// Every map and every split of the work against integration of the motion itself.
func TestModelsAgainstIntegration(t *testing.T) {
	slow := func(c float64) func(float64) float64 { return func(v float64) float64 { return c * v } }
	rub := func(f float64) func(float64) float64 { return func(v float64) float64 { return math.Copysign(f, v) } }
	fast := func(b float64) func(float64) float64 { return func(v float64) float64 { return b * v * math.Abs(v) } }
	decrement := func(c float64) float64 { z := c / 2; return math.Pi * z / math.Sqrt(1-z*z) }
	for _, c := range []struct {
		model      Model
		parameters []float64
		friction   []func(float64) float64
		tol        float64 // of the amplitude lost
	}{
		{none, nil, nil, 0},
		{viscous, []float64{decrement(0.05)}, []func(float64) float64{slow(0.05)}, 1e-9},
		{sliding, []float64{0.03}, []func(float64) float64{rub(0.03)}, 1e-9},
		{quadratic, []float64{0.07}, []func(float64) float64{fast(0.07)}, 1e-9},
		{quadratic, []float64{0.9}, []func(float64) float64{fast(0.9)}, 1e-9},
		{viscousSliding, []float64{decrement(0.05), 0.02}, []func(float64) float64{slow(0.05), rub(0.02)}, 1e-9},
		{quadraticSliding, []float64{0.07, 0.02}, []func(float64) float64{fast(0.07), rub(0.02)}, 1e-9},
		{viscousQuadratic, []float64{decrement(0.02), 0.015}, []func(float64) float64{slow(0.02), fast(0.015)}, 1e-3},
		{viscousQuadratic, []float64{decrement(0.03), 0.04}, []func(float64) float64{slow(0.03), fast(0.04)}, 1e-3},
		{viscousQuadratic, []float64{decrement(0.12), 0.15}, []func(float64) float64{slow(0.12), fast(0.15)}, 1e-2},
	} {
		turn, work := integrate(1, c.friction)
		got := c.model.next(1, c.parameters)
		near(t, c.model.Name+": amplitude", got, turn, c.tol*(1-turn)+1e-11)
		t.Logf("%s %v: amplitude %.6f, off by %.1e of what is lost", c.model.Name, c.parameters, turn, (got-turn)/(1-turn))
		for i, w := range c.model.split(1, got, c.parameters) {
			near(t, c.model.Name+": work of the "+string(c.model.Parameters[i].Part)+" part", w, work[i], max(c.tol, 1e-6)*(work[i]))
			t.Logf("   work %.6g, off by %.1e", work[i], w/work[i]-1)
		}
	}
}
