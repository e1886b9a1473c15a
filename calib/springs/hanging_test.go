package springs

import (
	"math"
	"strconv"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/masses"
	"joulewell/calib/proof"
	"joulewell/energy"
)

// Open data of a student's exercise, see testdata/SOURCES.md. The slope through all points
// is 0.0362264607885 cm/g, 27.0704 N/m at standard gravity, and the residuals' standard
// deviation 0.33882 cm (recomputed exactly outside this project): seven times what the
// rule's resolution allows, and it must be told. The row of the unloaded spring is no
// better and no worse than others.
func TestOpenData(t *testing.T) {
	h := Hanging{SpringMass: energy.Estimate{}, Natural: energy.None(), Masses: masses.Set{Gravity: energy.Estimate{Value: 9.80665}}}
	for _, row := range proof.Table(t, "testdata/hanging_lab.csv") {
		position, grams, name := row[0], row[1], strconv.FormatFloat(row[1], 'g', -1, 64)
		r := Hung{Length: energy.Estimate{Value: position / 100, U: 1e-3 / math.Sqrt(12)}}
		if grams > 0 {
			h.Masses.Pieces = append(h.Masses.Pieces, masses.Piece{Name: name, Mass: energy.Estimate{Value: grams / 1000, U: 1e-5 / math.Sqrt(12)}, Density: energy.Estimate{Value: 8000}})
			r.Load = []string{name}
		}
		h.Readings = append(h.Readings, r)
	}
	r, err := h.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "rate", r.Values[Rate], 27.070405959, 1e-3)
	sum := 0.0
	for _, v := range r.Residuals {
		sum += v * v
	}
	proof.Near(t, "standard deviation of the residuals", math.Sqrt(sum/8), 0.33882e-2, 1e-6)
	// Its standard error, residuals' scatter used: 0.002105577 cm/g.
	proof.Near(t, "u of rate", r.U(Rate), 27.070405959*0.002105577002275545/0.0362264607884693, 2e-3)
	if !r.Doubts.Has(doubt.Scatter) || r.Agreement > 1e-9 || len(r.Used) != 10 || r.Doubts.Has(doubt.Opening) {
		t.Errorf("agreement %g, %d readings used, doubts %v", r.Agreement, len(r.Used), r.Doubts)
	}
	if r.Estimate(Tension).Known() || len(r.Values) != 1 {
		t.Error("knows an initial tension without a natural length")
	}
}

// The example of a light spring at rest: M 0.25 kg, m_s 0.06 kg, k 25 N/m at standard
// gravity hangs 0.10983448 m below its natural length (own derivation of the statics of a
// uniform spring, computed outside this project).
func TestHangingStatics(t *testing.T) {
	h := Hanging{
		SpringMass: energy.Estimate{Value: 0.06}, Natural: energy.Estimate{Value: 0.2, U: 1e-4},
		Masses: masses.Set{Gravity: energy.Estimate{Value: 9.80665}},
	}
	for i, mass := range []float64{0.05, 0.1, 0.15, 0.2, 0.25} {
		name := strconv.Itoa(i)
		h.Masses.Pieces = append(h.Masses.Pieces, masses.Piece{Name: name, Mass: energy.Estimate{Value: mass}, Density: energy.Estimate{Value: 8000}})
		x := 0.10983448 - (0.25-mass)*9.80665/25
		h.Readings = append(h.Readings, Hung{Load: []string{name}, Length: energy.Estimate{Value: 0.2 + x, U: 1e-4}})
	}
	r, err := h.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "rate", r.Values[Rate], 25, 1e-6)
	proof.Near(t, "initial tension", r.Values[Tension], 0, 1e-6)
}

// Closed coils are told by evidence: the spring by itself lies off the line and is left
// out, and its own length goes with what the others say.
func TestClosedCoilsAreLeftOut(t *testing.T) {
	b := newBench(4)
	b.tension = 0.9
	r, err := b.hanging().unloaded(b).Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	if !r.Doubts.Has(doubt.Opening) || r.Used[0] == 0 || r.Doubts.Has(doubt.Scatter) {
		t.Errorf("used %v, doubts %v", r.Used, r.Doubts)
	}
	proof.Near(t, "initial tension", r.Values[Tension], 0.9, 3*r.U(Tension))
	proof.Near(t, "rate", r.Values[Rate], 25, 3*r.U(Rate))

	b = newBench(4)
	b.tension = 0
	r, err = b.hanging().unloaded(b).Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	if r.Doubts.Has(doubt.Opening) || len(r.Used) != 16 {
		t.Errorf("open from the start: used %v, doubts %v", r.Used, r.Doubts)
	}
}

// Without a reading clearly beyond the line nothing is left out, though the lowest load's
// three readings scatter more than they should and the others do not.
func TestScatterIsNoOpening(t *testing.T) {
	b := newBench(4)
	h := Hanging{Masses: b.known, SpringMass: b.spring, Natural: energy.None()}
	for _, off := range []float64{2.8, -2.8, 2.8} {
		h.Readings = append(h.Readings, Hung{Load: b.load(1), Length: energy.Estimate{Value: 0.2 + off*1e-3, U: 1e-3}})
	}
	for n := 2; n <= 6; n++ {
		h.Readings = append(h.Readings, Hung{Load: b.load(n), Length: energy.Estimate{Value: 0.2 + 0.02*float64(n-1), U: 1e-3}})
	}
	r, err := h.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Used) != 8 || r.Doubts.Has(doubt.Opening) || !r.Doubts.Has(doubt.Scatter) {
		t.Errorf("used %v, doubts %v", r.Used, r.Doubts)
	}
}

func TestHangingDoubts(t *testing.T) {
	work := func(j Hanging) (doubt.Notes, error) {
		r, err := j.Calibrate()
		if err != nil {
			return nil, err
		}
		return r.Doubts, nil
	}
	proof.Doubts(t, func() Hanging { return newBench(2).hanging() }, work,
		proof.Suspect("four loads", doubt.Few, func(h *Hanging) { h.Readings = h.Readings[:4] }),
		proof.Suspect("drawn too far", doubt.Set, func(h *Hanging) {
			for i := 8; i < len(h.Readings); i++ {
				h.Readings[i].Length.Value += 3e-3
			}
		}),
		proof.Suspect("more scatter than stated", doubt.Scatter, func(h *Hanging) { h.Readings[3].Length.Value += 2e-3; h.Readings[9].Length.Value -= 2e-3 }),
		proof.Suspect("one slip", doubt.Odd, func(h *Hanging) { h.Readings[6].Length.Value += 1e-2 }),
		proof.Suspect("natural length too short", doubt.Length, func(h *Hanging) { h.Natural.Value -= 0.02 }),
	)
	b := newBench(6)
	b.tension = 0.7
	h := b.hanging().unloaded(b)
	h.Readings[0].Length.Value += 8e-3
	if r, err := h.Calibrate(); err != nil || !r.Doubts.Has(doubt.Length) {
		t.Errorf("spring by itself too long: %v, %v", r, err)
	}
}

func TestHangingRefuses(t *testing.T) {
	work := func(j Hanging) error {
		_, err := j.Calibrate()
		return err
	}
	proof.Refusals(t, func() Hanging { return newBench(1).hanging() }, work,
		proof.Refuse("one load again and again", "1 different loads", doubt.ErrFew, func(h *Hanging) {
			for i := range h.Readings {
				h.Readings[i].Load = h.Readings[0].Load
			}
		}),
		proof.Refuse("nothing read", "0 readings", doubt.ErrFew, func(h *Hanging) { h.Readings = nil }),
		proof.Refuse("not a number", "reading 3", doubt.ErrNumber, func(h *Hanging) { h.Readings[2].Length.Value = math.NaN() }),
		proof.Refuse("read exactly", "no length is read exactly", doubt.ErrNumber, func(h *Hanging) { h.Readings[2].Length.U = 0 }),
		proof.Refuse("centimetres", "between 0 and 10 m", doubt.ErrUnit, func(h *Hanging) { h.Readings[2].Length.Value *= 100 }),
		proof.Refuse("grams", "kg", doubt.ErrUnit, func(h *Hanging) { h.SpringMass.Value = 60 }),
		proof.Refuse("natural length in millimetres", "natural length 180", doubt.ErrUnit, func(h *Hanging) { h.Natural.Value = 180 }),
		proof.Refuse("swinging", "hangs still", doubt.ErrUnsteady, func(h *Hanging) { h.Readings[2].Length.U = 0.05 }),
		proof.Refuse("shorter under load", "gets shorter", doubt.ErrContradict, func(h *Hanging) {
			for i := range h.Readings {
				h.Readings[i].Length.Value = 1 - h.Readings[i].Length.Value
			}
		}),
		proof.Refuse("unknown piece", "reading 1", doubt.ErrContradict, func(h *Hanging) { h.Readings[0].Load = []string{"lid"} }),
		proof.Refuse("gravity", "gravity", doubt.ErrUnit, func(h *Hanging) { h.Masses.Gravity.Value = 0 }),
	)
}
