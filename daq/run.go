package daq

import (
	"errors"
	"fmt"
	"math"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/energy"
	"joulewell/energy/motion"
)

// run is the run being recorded, or what is left to tell of the last one. It is part
// of the bench's state.
type run struct {
	recorder *runfile.Recorder
	meta     runfile.Meta
	zero     int64 // [ns] bench time of the run's time zero
	last     Recording
}

// keep hands frames to the recorder, on the run's own time base.
func (r *run) keep(frames []frame.Frame) {
	if r.recorder == nil {
		return
	}
	for i := range frames {
		f := &frames[i]
		t := f.T
		f.T -= r.zero
		r.recorder.Append(f) // which keeps nothing of it
		f.T = t
	}
}

// recording tells how the run fares when the newest reading is of the instant t.
func (r *run) recording(t int64) Recording {
	if r.recorder == nil {
		return r.last
	}
	s := r.recorder.State()
	return Recording{
		Active: true, Name: s.Name, Rows: s.Rows, Lost: s.Lost,
		Zero: r.zero, Length: time.Duration(t - r.zero), Trouble: s.Trouble,
	}
}

// StartRun begins a run: the readings of the last [PreTrigger] come first, with
// negative times, and time zero is that of the newest reading, or up to 30 ms earlier, for
// the run's time base must not change what comes out ([motion.Anchor]). Its errors say
// what to do.
func (b *Bench) StartRun(note string) (Recording, error) { return b.StartRunFrom(note, math.MaxInt64) }

// StartRunFrom is [Bench.StartRun] for a run that reaches back to the instant from [ns] on
// the bench's time base where that is earlier, by [Reach] at most.
func (b *Bench) StartRunFrom(note string, from int64) (Recording, error) {
	b.starting.Lock() // two starts at once must not make two files
	defer b.starting.Unlock()
	now := b.opt.Now()
	meta := runfile.Meta{
		Created: now, Note: note, Setup: *b.Setup(),
		Source: b.opt.Source.Describe(), Software: "joulewell " + b.opt.Version,
	}
	if err := b.do(func() { b.observe(&meta) }); err != nil {
		return Recording{}, err
	}
	switch s := b.Status(); {
	case s.Link == Replaying || s.Link == Finished:
		return Recording{}, ErrReplay
	case b.dir == nil:
		return Recording{}, ErrNoFolder
	case s.Run.Active:
		return Recording{}, ErrRecording
	case !s.Fresh:
		return Recording{}, fmt.Errorf("%w (the link is %s)", ErrNoReadings, s.Link)
	}
	if err := runfile.CheckRoom(b.dir, runfile.MinRoom); err != nil {
		return Recording{}, err
	}
	name, err := runfile.Free(b.dir, runfile.Name(now, b.Setup().Name))
	if err != nil {
		return Recording{}, err
	}
	recorder, err := runfile.Create(b.dir, name, meta, b.opt.Record)
	if err != nil {
		return Recording{}, err
	}
	var begun Recording
	if err := b.do(func() { begun = b.attach(recorder, meta, from) }); err != nil {
		return Recording{}, errors.Join(err, recorder.Close(meta))
	}
	return begun, nil
}

// attach lets a run begin: a fresh deriver, so that the run is worked out from its own
// readings alone, takes the pre-trigger's readings and then replaces the old one.
func (b *Bench) attach(recorder *runfile.Recorder, meta runfile.Meta, from int64) Recording {
	b.run = run{recorder: recorder, meta: meta, zero: motion.Anchor(b.newest.T)}
	b.deriver = b.replaced(from, b.run.keep)
	return b.run.recording(b.newest.T)
}

// replaced returns a new deriver that has taken the readings of the last [PreTrigger], and
// those before it from the instant from [ns] on; what it released meanwhile went to frames.
func (b *Bench) replaced(from int64, frames func([]frame.Frame)) *Deriver {
	fresh, err := NewDeriver(b.Setup())
	if err != nil {
		panic("a setup that was accepted before is refused: " + err.Error())
	}
	from = min(from, b.newest.T-int64(PreTrigger))
	for i := b.recent.since(from); i < b.recent.count; i++ {
		frames(fresh.Push(b.recent.at(i)))
	}
	return fresh
}

// StopRun ends the run and closes its file.
func (b *Bench) StopRun() (Recording, error) {
	b.starting.Lock()
	defer b.starting.Unlock()
	var ended run
	if err := b.do(func() { ended = b.detach() }); err != nil {
		return Recording{}, err
	}
	return b.conclude(&ended)
}

// detach takes the run off the bench. Its deriver is emptied into the file and a fresh
// one carries on for the viewers.
func (b *Bench) detach() run {
	ended := b.run
	if ended.recorder == nil {
		return run{}
	}
	ended.keep(b.deriver.Flush())
	b.deriver = b.replaced(math.MaxInt64, func([]frame.Frame) {})

	b.observe(&ended.meta)
	ended.last = ended.recording(b.newest.T)
	ended.last.Active = false
	b.run = run{last: ended.last}
	return ended
}

// conclude closes the file of an ended run, which may have to wait for the disk.
func (b *Bench) conclude(ended *run) (Recording, error) {
	if ended.recorder == nil {
		return Recording{}, ErrNotRecording
	}
	err := ended.recorder.Close(ended.meta)
	s := ended.recorder.State()
	result := ended.last
	result.Rows, result.Lost, result.Trouble = s.Rows, s.Lost, s.Trouble
	if err != nil {
		return result, fmt.Errorf("close run %s: %w", result.Name, err)
	}
	return result, nil
}

// finish closes the run being recorded, if any, when the bench stops.
func (b *Bench) finish() error {
	b.starting.Lock()
	defer b.starting.Unlock()
	b.mu.Lock()
	ended := b.detach()
	b.stopped = true
	b.publish()
	b.mu.Unlock()
	if ended.recorder == nil {
		return nil
	}
	_, err := b.conclude(&ended)
	return err
}

// observe writes into a run's description what the device has shown of itself so far:
// at the start, for a run that will be killed, and again at the end.
func (b *Bench) observe(m *runfile.Meta) {
	m.Virtual = b.virtual()
	m.UnknownColumns = nil
	for _, n := range b.decoder.OtherNames() {
		if n != "" {
			m.UnknownColumns = append(m.UnknownColumns, n)
		}
	}
	if ppm, u, known := b.aligner.Skew(); known {
		m.Clock = &energy.Estimate{Value: ppm, U: u}
	}
}

// virtual reports whether the readings are simulated: by the source itself, or by what a
// device at the far end of a wire says.
func (b *Bench) virtual() bool { return b.opt.Source.Virtual() || b.decoder.Virtual() }
