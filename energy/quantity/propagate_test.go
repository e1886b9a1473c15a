package quantity

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/energy"
)

// The gauge block of GUM H.1, in nm: u = 31.66 nm, 16.75 effective degrees of freedom,
// U99 = 93 nm there from rounded numbers; 32 and 16 printed.
func TestPropagateGaugeBlock(t *testing.T) {
	input := func(name string, value, u, dof float64) Input {
		return Input{name, Quantity{energy.Estimate{Value: value, U: u}, Length, Stated, dof}}
	}
	inputs := []Input{
		input("standard", 50_000_623, 25, 18), input("repeats", 215, 5.8, 24), input("random", 0, 3.9, 5),
		input("systematic", 0, 6.7, 8), input("expansion", 0, 1e-6/math.Sqrt(3), 50), input("temperature", 0, 0.05/math.Sqrt(3), 2),
		input("exact", 11.5e-6, 0, math.Inf(1)),
	}
	results, err := Propagate(inputs, func(x []float64) ([]float64, error) {
		d := x[1] + x[2] + x[3]
		return []float64{x[0] + d - x[0]*(x[4]*-0.1+x[6]*x[5]), 2 * d}, nil
	})
	if err != nil {
		t.Fatal(err)
	}
	r := &results[0]
	near(t, "u", r.U, 31.66, 0.005)
	near(t, "degrees of freedom", r.Budget.DoF, 16.75, 0.005)
	if _, k := r.Expanded(); math.Abs(k-2.1123) > 0.0005 { // t95(16.75), R 4.2
		t.Errorf("coverage factor %g", k)
	}
	near(t, "second result", results[1].U, 2*math.Sqrt(5.8*5.8+3.9*3.9+6.7*6.7), 1e-9)
	if len(r.Budget.Inputs) != 6 || r.Budget.Inputs[0].Name != "standard" {
		t.Errorf("budget %+v", r.Budget.Inputs)
	}
	all, _ := r.Expanded()
	// With half of 25 nm: u = 23.10 nm, 7.18 degrees of freedom, so t95 = 2.353 (by hand).
	near(t, "with half the largest contribution", r.Halved("standard"), 2.353*23.10, 0.05)
	near(t, "halving what is not there", r.Halved("exact"), all, 1e-12)
}

// The square of a normal quantity about zero has the standard deviation sqrt 2 u^2,
// which a sensitivity alone would miss.
func TestPropagateBends(t *testing.T) {
	square := func(x []float64) ([]float64, error) { return []float64{x[0] * x[0]}, nil }
	for _, c := range []struct{ value, u, want float64 }{{0, 0.1, math.Sqrt2 * 0.01}, {2, 0.1, math.Sqrt(0.16 + 2e-4)}} {
		r, err := Propagate([]Input{{"x", at(Speed, c.value, c.u)}}, square)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "u of the square", r[0].U, c.want, 1e-12)
	}
}

// A contribution that is small and known by a few repeats leaves the coverage factor at
// the normal 1.959964, however many effective degrees of freedom come out.
func TestPropagateWithVeryManyDegreesOfFreedom(t *testing.T) {
	for _, small := range []float64{1e-1, 1e-2, 1e-3, 1e-5, 1e-8} {
		inputs := []Input{{"large", at(Length, 1, 1)}, {"small", Quantity{energy.Estimate{Value: 1, U: small}, Length, Stated, 1}}}
		r, err := Propagate(inputs, func(x []float64) ([]float64, error) { return []float64{x[0] + x[1]}, nil })
		if err != nil {
			t.Fatal(err)
		}
		_, k := r[0].Expanded()
		near(t, "coverage factor", k, 1.959964, 3*math.Pow(small, 4)+1e-6)
		near(t, "after halving", r[0].Halved("small"), 1.959964*math.Hypot(1, small/2), 3*math.Pow(small, 4)+1e-6)
	}
}

func TestPropagateTellsWhereAFormulaRefuses(t *testing.T) {
	inputs := []Input{{"bob mass", at(Mass, 0.1, 0.2)}}
	_, err := Propagate(inputs, func(x []float64) ([]float64, error) {
		if x[0] < 0 {
			return nil, errors.New("negative")
		}
		return x, nil
	})
	if err == nil || !strings.Contains(err.Error(), "bob mass at -0.10 kg: negative") {
		t.Errorf("got %v", err)
	}
}

func TestPropagateRefusesWhatIsNoNumber(t *testing.T) {
	inverse := func(x []float64) ([]float64, error) { return []float64{1 / x[0]}, nil }
	root := func(x []float64) ([]float64, error) { return []float64{math.Sqrt(x[0])}, nil }
	for name, f := range map[string]Formula{"infinite": inverse, "not a number at one end": root} {
		x := at(Length, 0, 0)
		if name != "infinite" {
			x = at(Length, 1, 2)
		}
		if r, err := Propagate([]Input{{"x", x}}, f); err == nil || !strings.Contains(err.Error(), "out of range") {
			t.Errorf("%s: %v, %v", name, r, err)
		}
	}
}

// Draws have the mean and the standard deviation they should, and stay within bounds
// where there are any. Student's has u sqrt(dof/(dof - 2)) (JCGM 101, 6.4.9).
func TestDraw(t *testing.T) {
	rng := rand.NewPCG(3, 4)
	inputs := []Input{
		{"rectangular", Between(Length, 1, 2)}, {"normal", at(Length, 5, 0.2)},
		{"student", Quantity{energy.Estimate{Value: 7, U: 0.1}, Length, Stated, 9}}, {"exact", Chosen(Length, 3)},
	}
	if err := Drawable(inputs); err != nil {
		t.Fatal(err)
	}
	const n = 200_000
	var sum, squares [4]float64
	x := make([]float64, 4)
	for range n {
		Draw(inputs, rng, x)
		if x[0] < 1 || x[0] > 2 || x[3] != 3 {
			t.Fatalf("drew %v", x)
		}
		for i, v := range x {
			sum[i] += v - inputs[i].Value
			squares[i] += (v - inputs[i].Value) * (v - inputs[i].Value)
		}
	}
	for i, sd := range []float64{1 / math.Sqrt(12), 0.2, 0.1 * math.Sqrt(9./7), 0} {
		near(t, inputs[i].Name+": mean", sum[i]/n, 0, 4*sd/math.Sqrt(n))
		near(t, inputs[i].Name+": standard deviation", math.Sqrt(squares[i]/n), sd, 0.01*sd)
		near(t, inputs[i].Name+": as stated", inputs[i].DrawnU(), sd, 1e-12)
	}
	inputs[2].DoF = 2
	if err := Drawable(inputs); err == nil || !strings.Contains(err.Error(), "student") {
		t.Errorf("two degrees of freedom: %v", err)
	}
}
