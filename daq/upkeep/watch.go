package upkeep

import (
	"context"
	"log/slog"
	"math"
	"time"

	"joulewell/calib/drift"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// watch looks at both sensors while the bob hangs at rest and nobody is there: their
// indications should stay. It belongs to the bench's goroutine.
type watch struct {
	bench         *setup.Bench
	force, height *drift.ZeroWatch
	still         Still
}

// newWatch returns a watch of a bench as it is calibrated now, or nil for one whose
// sensors cannot be watched.
func newWatch(f *setup.File) *watch {
	w := &watch{bench: &f.Bench}
	var err error
	if w.force, err = drift.NewZeroWatch(drift.TenMinutes(neededAtRest(f, Force))); err != nil {
		return nil
	}
	if w.height, err = drift.NewZeroWatch(drift.TenMinutes(neededAtRest(f, Distance))); err != nil {
		return nil
	}
	return w
}

// atRest is what a sensor should read while the bob hangs at rest: its height [m], or the
// weight [N] on the cell.
func atRest(a *energy.Apparatus, k Kind) energy.Estimate {
	if k == Force {
		return energy.Estimate{
			Value: (a.Bob.Mass.Value + a.Spring.Mass.Value) * a.Gravity.Value,
			U:     math.Hypot(a.Bob.Mass.U, a.Spring.Mass.U) * a.Gravity.Value,
		}
	}
	at := a.Equilibrium()
	return energy.Estimate{Value: a.Height(at), U: math.Hypot(a.Support.U, at*a.Spring.Rate.U/a.Spring.Rate.Value)}
}

// neededAtRest is what the calibration answers for there.
func neededAtRest(f *setup.File, k Kind) float64 {
	return needed(f, k, atRest(&f.Bench.Apparatus, k).Value)
}

// look takes a frame and tells of records that it completes.
func (w *watch) look(f *frame.Frame, rested func(Kind, drift.Rest)) {
	rest := w.still.Look(f) && f.Flags&(frame.NewEpoch|frame.Gap) == 0
	c := &w.bench.Calibration
	if indication, ok := f.Reading.Load(); ok {
		if r, whole := w.force.Add(f.T, c.Force.Newtons(indication).Value, rest); whole {
			rested(Force, r)
		}
	}
	if f.Distance.Known() {
		if r, whole := w.height.Add(f.T, c.Distance.Height(f.Distance.Value), rest); whole {
			rested(Distance, r)
		}
	}
}

// Resting is what the watch of one sensor last saw.
type Resting struct {
	Kind   Kind
	Rest   drift.Rest
	At     time.Time
	Needed float64 // [N], [m] off the level up to which the work is served
}

// rested notes a record of the watch; it is written down elsewhere.
func (d *Desk) rested(k Kind, r drift.Rest) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.resting[k] = Resting{Kind: k, Rest: r, At: d.clock().UTC(), Needed: neededAtRest(&d.file, k)}
	if r.Signal.Rule != "" {
		d.signals[k]++
	}
	select {
	case d.rests <- d.resting[k]:
	default: // nobody writes them down
	}
}

// Watched returns what the watch last saw of each sensor, and how many of its records
// signalled since the start.
func (d *Desk) Watched() (last []Resting, signals map[Kind]uint64) {
	d.mu.Lock()
	defer d.mu.Unlock()
	signals = map[Kind]uint64{}
	for _, k := range []Kind{Force, Distance} {
		if r, seen := d.resting[k]; seen {
			last = append(last, r)
		}
		signals[k] = d.signals[k]
	}
	return last, signals
}

// The books of what an idle bench shows, beside the calibration book.
var restBooks = map[Kind]struct {
	name string
	unit drift.Unit
	what drift.What
}{
	Force:    {"rests_N.csv", drift.Newtons, drift.Mass},
	Distance: {"rests_m.csv", drift.Metres, drift.Height},
}

// Run writes down what the watch of the idle bench records, until ctx ends. Without it
// the records are shown and forgotten.
func (d *Desk) Run(ctx context.Context, log *slog.Logger) {
	for {
		select {
		case r := <-d.rests:
			if err := d.writeDown(&r); err != nil {
				log.Warn("write down a rest of the idle bench", "cause", err)
			}
		case <-ctx.Done():
			return
		}
	}
}

// writeDown adds a rest to its book, held against where it should be.
func (d *Desk) writeDown(r *Resting) error {
	file := d.File()
	if file.Calibration == "" {
		return nil
	}
	book := restBooks[r.Kind]
	record := drift.Record{
		When: r.At, What: book.what, Standard: "bob at rest", Reference: atRest(&file.Bench.Apparatus, r.Kind),
		Indication: r.Rest.Mean, Readings: r.Rest.Readings, Air: math.NaN(),
	}
	return d.appendCheck(book.name, book.unit, record)
}
