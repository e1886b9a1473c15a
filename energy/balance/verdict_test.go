package balance

import (
	"math"
	"strings"
	"testing"

	"joulewell/energy/quantity"
)

// By hand: the spring is 0.1 cm extended at the start; caught at 59.4 cm it is 19.1 cm
// extended, the weights gave 475.5 mJ and the spring took 448.7 mJ.
func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		end, want string
	}{
		{"59.4cm", "lost 26.8 mJ ± 6.1 mJ (95 %, k = 1.96) of 504 mJ exchanged"},
		{"58.4cm", "no loss seen above 6.5 mJ: the difference is 3.6 mJ ± 6.5 mJ"},
		{"55.0cm", "more energy at the end than at the start by 93.7 mJ ± 8.2 mJ (95 %, k = 1.96): one of the readings must be off"},
	} {
		r := severn(t)
		r.Start.Height = reads(t, quantity.Length, "78.4cm")
		r.End.Height = reads(t, quantity.Length, c.end)
		x := compare(t, r)
		if !strings.HasPrefix(x.Verdict, c.want) {
			t.Errorf("end at %s: %s; loss %g, %g", c.end, x.Verdict, x.Loss.Value, x.Expanded)
		}
	}
}

func TestAdvice(t *testing.T) {
	r := severn(t)
	c := compare(t, r)
	half := math.Sqrt(c.Loss.U*c.Loss.U - 0.75*math.Pow(0.1*(0.196*0.196-0.002*0.002)/2, 2))
	want := "measure spring rate better first: with half its uncertainty ± " + quantity.Energy.Text(c.Expanded, c.Expanded) +
		" would become ± " + quantity.Energy.Text(1.959964*half, c.Expanded)
	if c.Advice != want {
		t.Errorf("advice %q, want %q", c.Advice, want)
	}
	r.Bench.Rate = reads(t, quantity.Rate, "24.60N/m")
	r.Bench.Gravity = quantity.Quantity{}
	r.Bench.NaturalLength, r.Bench.Support = reads(t, quantity.Length, "11.800cm"), reads(t, quantity.Length, "96.500cm")
	r.Bench.BobLength = reads(t, quantity.Length, "6.200cm")
	r.Start.Height, r.End.Height = reads(t, quantity.Length, "78.300cm"), reads(t, quantity.Length, "58.900cm")
	if c = compare(t, r); !strings.HasPrefix(c.Advice, "find out gravity") {
		t.Errorf("advice %q", c.Advice)
	}
	if !strings.Contains(strings.Join(c.Notes, "\n"), "9.80665 m/s2 stands in") {
		t.Errorf("notes %q", c.Notes)
	}
	if c = compare(t, heavy(0.1, 0.19)); !strings.Contains(c.Advice, "a lighter spring") {
		t.Errorf("advice %q", c.Advice)
	}
}

// A spring of 9.8 g on 24.6 N/m hangs 1.95 mm longer than it lies.
func TestContradictions(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Readings)
		want   string
	}{
		{"hung as it should", func(r *Readings) { r.Hung = reads(t, quantity.Length, "12.0cm") }, ""},
		{"hung too long", func(r *Readings) { r.Hung = reads(t, quantity.Length, "12.2cm") },
			"hung length 122.00 mm does not go with natural length, spring mass, spring rate and initial tension: by these it should be 2.05 mm ± 0.80 mm less"},
		{"hung too short", func(r *Readings) { r.Hung = reads(t, quantity.Length, "11.8cm") }, "1.95 mm ± 0.80 mm more"},
		{"closed, hung as it lies", func(r *Readings) {
			r.Hung, r.Bench.InitialTension = reads(t, quantity.Length, "11.8cm"), reads(t, quantity.Force, "0.20N")
		}, ""},
		{"closes", func(r *Readings) { r.End.Length = reads(t, quantity.Length, "31.4cm") }, ""},
		{"does not close", func(r *Readings) { r.End.Length = reads(t, quantity.Length, "31.8cm") },
			"end height, end length and bob length together end 4.0 mm ± 1.1 mm above the support; one of the four"},
		{"start does not close", func(r *Readings) { r.Start.Length = reads(t, quantity.Length, "11.5cm") },
			"start height, start length and bob length together end 5.0 mm ± 1.1 mm below the support"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := severn(t)
			c.change(&r)
			got := strings.Join(compare(t, r).Contradictions, "\n")
			if (c.want == "") != (got == "") || !strings.Contains(got, c.want) {
				t.Errorf("contradictions %q, want %q", got, c.want)
			}
		})
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Readings)
		want   string
	}{
		{"below the floor", func(r *Readings) {
			r.End.Length = reads(t, quantity.Length, "95.0cm")
			r.End.Height = quantity.Quantity{}
		},
			"end: the bob would be 47.00 mm ± 0.98 mm below the floor: look at end length, support height and bob length"},
		{"too short", func(r *Readings) { r.Start.Height = reads(t, quantity.Length, "80.0cm") },
			"start: the spring would be 15.0 mm ± 1.1 mm shorter than its natural length: look at start height, natural length, support height and bob length"},
		{"too short by length", func(r *Readings) { r.Start = State{Length: reads(t, quantity.Length, "9.0cm")} }, "look at start length, natural length"},
		{"no state", func(r *Readings) { r.End = State{} }, "end: neither height nor length is given"},
		{"no support", func(r *Readings) { r.Bench.Support = quantity.Quantity{} }, "support height is missing"},
		{"no mass", func(r *Readings) { r.Bench.BobMass = quantity.Quantity{} }, "bob mass is missing"},
		{"exact height", func(r *Readings) { r.End.Height.U = 0 }, "uncertainty of end height is zero"},
		{"exact speed", func(r *Readings) {
			r.End.Speed = quantity.Known(quantity.Speed, quantity.Chosen(quantity.Speed, 1).Estimate)
		}, "uncertainty of end speed is zero"},
		{"far", func(r *Readings) { r.End.Height.Value = 1e300 }, "end height = "},
		{"fast", func(r *Readings) { r.End.Speed = reads(t, quantity.Speed, "2000m/s") }, "end speed = "},
		{"not a number", func(r *Readings) { r.End.Height.Value = math.NaN() }, "end height = "},
		{"heavy spring", func(r *Readings) { r.Bench.SpringMass = reads(t, quantity.Mass, "900g") }, "times as heavy as the bob"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := severn(t)
			c.change(&r)
			_, err := Compare(r, Method{})
			if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("got %v, want a refusal saying %q", err, c.want)
			}
		})
	}
}

// A start in full swing may hide waves too, a release does not.
func TestSwingingStart(t *testing.T) {
	r := severn(t)
	if u := compare(t, r).Lines[waves].Start.U; u != 0 {
		t.Errorf("a release hides %g J", u)
	}
	r.Swinging = true
	c := compare(t, r)
	near(t, "hidden at the start", c.Lines[waves].Start.U, c.Lines[waves].End.U, 1e-12)
	if c.Lines[waves].Start.U == 0 {
		t.Error("a turning point hides nothing")
	}
}

// Consistent readings must seldom seem to contradict each other: about one in twenty,
// beyond 95 %.
func TestContradictionsAreSeldomFalse(t *testing.T) {
	const benches = 500
	said := map[string]int{}
	for seed := range uint64(benches) {
		for _, s := range compare(t, newTrial(t, seed).readings).Contradictions {
			said[s[:4]]++
		}
	}
	for _, of := range []string{"hung", "star", "end "} {
		if n := said[of]; n < benches/100 || n > benches*7/100 {
			t.Errorf("%s: %d of %d sound benches are said to contradict themselves", of, n, benches)
		}
	}
}
