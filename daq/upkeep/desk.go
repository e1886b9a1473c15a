package upkeep

import (
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"joulewell/calib/masses"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
)

// Refusals of a desk.
var (
	ErrNoBook  = errors.New("this bench has no bench file, so nothing found about it could be kept: start the daemon with --config")
	ErrBusy    = errors.New("a calibration is in progress: finish or abandon it first")
	ErrNothing = errors.New("no calibration is in progress")
)

// Desk is where the calibrations of one bench are kept and made. Its methods may be
// called from any goroutine.
type Desk struct {
	plain  setup.File // as the bench file says
	pieces []masses.Piece
	clock  func() time.Time
	hands  Technician // nil = people do it

	busy  atomic.Bool           // there is a session, for frames to skip the lock
	anew  atomic.Pointer[watch] // that replaces the watch at the next frame
	watch *watch                // of the bench's goroutine
	rests chan Resting          // for [Desk.Run]

	mu       sync.Mutex
	file     setup.File // with the book laid over it
	standing []Standing
	session  *Session
	resting  map[Kind]Resting
	signals  map[Kind]uint64
}

// Technician is who hangs loads and moves the bob where there is nobody to do it: on a
// simulated bench.
type Technician interface {
	Set(height, load float64) // [m] of the bob's lowest point, [N] on the cell
	Leave()                   // the bob swings again
}

// ErrNoTechnician is the refusal of a bench on which people do the work.
var ErrNoTechnician = errors.New("this bench is real: hang the load, or move the bob, by hand")

// Open reads the calibration book of a bench file and lays it over it. The clock tells
// the date of new entries.
func Open(f setup.File, clock func() time.Time) (*Desk, error) {
	d := &Desk{plain: f, clock: clock, rests: make(chan Resting, 8), resting: map[Kind]Resting{}, signals: map[Kind]uint64{}}
	var err error
	if f.CheckMasses != "" {
		if d.pieces, err = ReadPieces(f.CheckMasses); err != nil {
			return nil, err
		}
	}
	return d, d.reload()
}

// reload reads the book anew.
func (d *Desk) reload() error {
	book, err := Load(d.plain.Calibration)
	if err != nil {
		return err
	}
	d.file, d.standing, err = book.Apply(d.plain)
	if err != nil {
		return fmt.Errorf("read %s: %w", filepath.Base(d.plain.Calibration), err)
	}
	file := d.file
	d.anew.Store(newWatch(&file)) // the level is learnt anew with every calibration
	return nil
}

// File returns the bench with its calibrations laid over it.
func (d *Desk) File() setup.File {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.file
}

// Employ gives a simulated bench its technician. It must be called before any other
// method.
func (d *Desk) Employ(t Technician) { d.hands = t }

// Employs reports whether there is one.
func (d *Desk) Employs() bool { return d.hands != nil }

// Arrange lets the technician do what p says of load or height, for the session in
// progress.
func (d *Desk) Arrange(p Point) error {
	if d.hands == nil {
		return ErrNoTechnician
	}
	return d.With(func(s *Session) error {
		a := &s.bench.Bench.Apparatus
		height, load := atRest(a, Distance).Value, atRest(a, Force).Value
		switch s.Kind() {
		case Force:
			pieces, err := s.cabinet.load(p.Load)
			if err != nil {
				return err
			}
			if load, err = s.cabinet.set.Force(pieces); err != nil {
				return err
			}
		case Distance:
			e, err := length(p.Rule, "height")
			if err != nil {
				return err
			}
			if !e.Known() {
				return errors.New("say to which height the bob is to be moved")
			}
			height = e.Value
		default:
			return errors.New("a spring's length is read by a person")
		}
		d.hands.Set(height, load)
		s.dwell.Reset()
		return nil
	})
}

// ended is called under the lock when a session ends.
func (d *Desk) ended() {
	d.session = nil
	d.busy.Store(false)
	if d.hands != nil {
		d.hands.Leave()
	}
}

// Standing returns how each kind of calibration stands.
func (d *Desk) Standing() []Standing {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.standing
}

// Now returns the time by the desk's clock.
func (d *Desk) Now() time.Time { return d.clock() }

// Cabinet returns the check masses of the bench.
func (d *Desk) Cabinet() (*Cabinet, error) {
	f := d.File()
	return NewCabinet(&f, d.pieces)
}

// Hear hands the frames of the bench to the watch of the idle bench and to a session in
// progress. Only one goroutine may call it.
func (d *Desk) Hear(frames []frame.Frame) {
	if w := d.anew.Swap(nil); w != nil {
		d.watch = w
	}
	if d.watch != nil {
		for i := range frames {
			d.watch.look(&frames[i], d.rested)
		}
	}
	if !d.busy.Load() {
		return
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	for i := range frames {
		if d.session != nil {
			d.session.Hear(&frames[i])
		}
	}
}

// Begin begins a calibration of a kind.
func (d *Desk) Begin(k Kind) error {
	cabinet, err := d.Cabinet()
	if err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	switch {
	case d.plain.Calibration == "":
		return ErrNoBook
	case d.session != nil:
		return ErrBusy
	}
	file := d.file
	s, err := NewSession(k, &file, cabinet)
	if err != nil {
		return err
	}
	d.session = s
	d.busy.Store(true)
	return nil
}

// Resume begins a session with points that were read before.
func (d *Desk) Resume(t Table) error {
	if err := d.Begin(t.Kind); err != nil {
		return err
	}
	return d.With(func(s *Session) error {
		s.table = t
		s.find()
		return nil
	})
}

// With calls f with the session in progress, or returns [ErrNothing]. Frames wait
// meanwhile: f must be quick.
func (d *Desk) With(f func(*Session) error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.session == nil {
		return ErrNothing
	}
	return f(d.session)
}

// Abandon ends a session; what it read is gone.
func (d *Desk) Abandon() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.session == nil {
		return ErrNothing
	}
	d.ended()
	return nil
}

// Signing is what a person adds to an entry.
type Signing struct {
	By   string
	Note string
	Due  time.Time // zero = a year from now
}

// Finish writes what the session found into the book, ends it, and returns the bench as
// it is to be from now on.
func (d *Desk) Finish(s Signing) (setup.File, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.session == nil {
		return setup.File{}, ErrNothing
	}
	e, err := d.session.Entry()
	if err != nil {
		return setup.File{}, err
	}
	if err := d.keep(e, s); err != nil {
		return setup.File{}, err
	}
	d.ended()
	return d.file, nil
}

// Keep writes an entry made elsewhere into the book.
func (d *Desk) Keep(e Entry, s Signing) (setup.File, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.plain.Calibration == "" {
		return setup.File{}, ErrNoBook
	}
	err := d.keep(e, s)
	return d.file, err
}

func (d *Desk) keep(e Entry, s Signing) error {
	e.Date, e.By, e.Note, e.Due = d.clock().UTC().Truncate(time.Second), s.By, s.Note, s.Due.UTC().Truncate(time.Second)
	if s.Due.IsZero() {
		e.Due = e.Date.AddDate(1, 0, 0)
	}
	if err := Add(d.plain.Calibration, e); err != nil {
		return err
	}
	return d.reload()
}
