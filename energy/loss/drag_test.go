package loss

import (
	"math"
	"strings"
	"testing"
)

// A ball of 50 mm at 0.1 m and 10/s loses 7.38e-5 J in a half swing with a drag
// coefficient of 0.47 (common practice) in air of 1.2 kg/m3: own arithmetic, done
// outside this project.
func TestDragOfABall(t *testing.T) {
	area := math.Pi * 0.025 * 0.025
	d := Drag{Area: area, Coefficient: Range{0.47, 0.47}, Air: Range{1.2, 1.2}}
	r, err := d.PerHalfSwing(0.1, math.Pi/10)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lower bound", r.Low, 7.38e-5, 0.005e-5)
	near(t, "upper bound", r.High, 7.38e-5, 0.005e-5)
	d.Coefficient, d.Air = Sphere(), RoomAir()
	r, err = d.PerHalfSwing(0.1, math.Pi/10)
	if err != nil {
		t.Fatal(err)
	}
	if !(r.Low < 7.38e-5 && 7.38e-5 < r.High && r.High < 4*r.Low) {
		t.Errorf("range %+v, want it around 7.38e-5 J", r)
	}
}

// The closed form against the integral of the cube of the speed, wire included: its
// coils move in proportion to their depth, and the cube's mean over the depth is 1/4.
func TestDragAgainstIntegral(t *testing.T) {
	d := Drag{Area: 3e-3, Coefficient: Range{0.9, 0.9}, Air: RoomAir(), Wire: 2e-3}
	const amplitude, duration, steps = 0.07, 0.35, 2000
	var integral float64
	for i := range steps {
		v := amplitude * math.Pi / duration * math.Sin(math.Pi*(float64(i)+0.5)/steps)
		for j := range 100 {
			depth := (float64(j) + 0.5) / 100
			integral += 0.5 * 1.09 * (0.9*3e-3 + 0.63*2e-3*depth*depth*depth) * v * v * v * duration / steps / 100
		}
	}
	r, err := d.PerHalfSwing(amplitude, duration)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lower bound", r.Low, integral, 1e-4*integral)
	d.Coefficient = Range{0.1, 0.9}
	wide, err := d.PerHalfSwing(amplitude, duration)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "upper bound", wide.High, r.High, 1e-12*r.High)
	near(t, "bounds", r.High/r.Low, 1.28*(0.9*3e-3+2.4*2e-3/4)/(1.09*(0.9*3e-3+0.63*2e-3/4)), 1e-12)
}

func TestDragRefuses(t *testing.T) {
	good := Drag{Area: 2e-3, Coefficient: Sphere(), Air: RoomAir()}
	for _, c := range []struct {
		name, want          string
		amplitude, duration float64
		spoil               func(*Drag)
	}{
		{"no area", "area of the bob", 0.1, 0.3, func(d *Drag) { d.Area = 0 }},
		{"bounds the wrong way round", "lower bound first", 0.1, 0.3, func(d *Drag) { d.Air = Range{2, 1} }},
		{"not a number", "drag coefficient", 0.1, 0.3, func(d *Drag) { d.Coefficient.Low = math.NaN() }},
		{"negative wire", "wire", 0.1, 0.3, func(d *Drag) { d.Wire = -1 }},
		{"no time", "duration 0 s", 0.1, 0, func(*Drag) {}},
		{"amplitude not a number", "amplitude NaN", math.NaN(), 0.3, func(*Drag) {}},
	} {
		d := good
		c.spoil(&d)
		if r, err := d.PerHalfSwing(c.amplitude, c.duration); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %+v, %v; want an error saying %q", c.name, r, err, c.want)
		}
	}
}
