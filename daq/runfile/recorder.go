package runfile

import (
	"fmt"
	"os"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"joulewell/daq/frame"
)

// Options say how a [Recorder] works. A zero field stands for the usual value.
type Options struct {
	FlushEvery time.Duration // [ns] rows wait no longer than this before they are written; usually 100 ms
	SyncEvery  time.Duration // [ns] between fsyncs; usually 1 s
	Limit      int           // [bytes] of rows held in memory while the disk does not take them; usually 16 MiB
	CloseWait  time.Duration // [ns] for which Close goes on trying on a disk that refuses; usually 5 s
	Disk       Disk          // where the files go; usually the folder given to Create
}

func (o Options) complete(dir *os.Root) Options {
	or := func(d *time.Duration, usual time.Duration) {
		if *d <= 0 {
			*d = usual
		}
	}
	or(&o.FlushEvery, 100*time.Millisecond)
	or(&o.SyncEvery, time.Second)
	or(&o.CloseWait, 5*time.Second)
	if o.Limit <= 0 {
		o.Limit = 16 << 20
	}
	if o.Disk == nil {
		o.Disk = folder{dir}
	}
	return o
}

// nudge is how much may wait [bytes] before the writer is woken ahead of its time.
const nudge = 1 << 20

// Recorder writes one run. Append is for one goroutine or many; State is for
// anyone at any time. Its own two goroutines write and sync; Close ends them.
type Recorder struct {
	dir  *os.Root
	name string
	meta Meta
	o    Options
	file File

	mu      sync.Mutex // held for moments only, never over a call to the disk
	closed  bool
	gap     bool   // rows were lost since the last one that was kept
	pending []byte // whole rows that the writer has not taken
	taken   int    // [bytes] that the writer has taken and not yet written
	count   tally  // of the rows kept
	past    []string

	batch []byte // writer's own: what is left of the rows it took
	spare []byte // writer's own: the memory behind batch
	good  int64  // [bytes] writer's own: size of the file in whole rows

	rows, written, stored, lost atomic.Uint64
	trouble, suspect            atomic.Pointer[string]

	wake chan struct{}
	stop chan struct{}
	done sync.WaitGroup
	once sync.Once
	end  error // what Close returned
}

// State is a recorder at one moment.
type State struct {
	Name    string
	Rows    uint64 // [1] kept: in the file, or in memory on the way there
	Written uint64 // [1] of these, handed to the operating system: they outlive this program
	Stored  uint64 // [1] of these, confirmed by the disk: they outlive a power cut
	Lost    uint64 // [1] rows that could not be kept
	Trouble string // what is wrong with the file and what to do; empty when nothing is
}

// Create begins the run called name in dir: it makes NAME.csv.part, which must not
// exist, nor a finished run of that name ([ErrTaken]), and locks it against a
// repair by another program, and writes its description. It does not wait until
// either would outlive a power cut. dir must stay open until Close has returned.
//
// It also refuses a setup with numbers that are not finite, since its description
// could not be written.
func Create(dir *os.Root, name string, meta Meta, o Options) (*Recorder, error) {
	if err := available(dir, name); err != nil {
		return nil, fmt.Errorf("begin a run: %w", err)
	}
	meta = meta.describe(name)
	meta.complain(unclosed)
	if _, err := meta.encode(); err != nil {
		return nil, fmt.Errorf("begin a run: %w", err)
	}
	o = o.complete(dir)
	file, err := o.Disk.Create(name + partExt)
	if err != nil {
		return nil, fmt.Errorf("begin a run: %w", err)
	}
	r := &Recorder{
		dir: dir, name: name, meta: meta, o: o, file: file,
		pending: AppendHeader(make([]byte, 0, nudge)),
		wake:    make(chan struct{}, 1),
		stop:    make(chan struct{}),
	}
	description := r.begin()
	r.done.Go(r.writeLoop)
	r.done.Go(func() { r.syncLoop(description) })
	return r, nil
}

// Append takes one row and returns at once; it never waits for the disk. When the
// limit of [Options] is reached the row is lost and counted, and the next one kept
// is flagged [frame.Gap]. After Close it does nothing.
func (r *Recorder) Append(f *frame.Frame) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.closed {
		return
	}
	if len(r.pending)+r.taken >= r.o.Limit {
		r.gap = true
		r.lost.Add(1)
		return
	}
	if r.gap {
		marked := *f
		marked.Flags |= frame.Gap
		r.pending = AppendRow(r.pending, &marked)
		r.gap = false
	} else {
		r.pending = AppendRow(r.pending, f)
	}
	r.count.add(f.T, f.Epoch)
	r.rows.Add(1)
	if len(r.pending) >= nudge {
		select {
		case r.wake <- struct{}{}:
		default:
		}
	}
}

// unclosed is the trouble that a description tells of until the run is closed.
const unclosed = "the program ended before the run was closed"

// State tells how the run fares, without waiting for anything.
func (r *Recorder) State() State {
	// In this order, for each count can only have grown by the next line.
	s := State{Name: r.name, Stored: r.stored.Load()}
	s.Written = r.written.Load()
	s.Rows = r.rows.Load()
	s.Lost = r.lost.Load()
	if t := r.trouble.Load(); t != nil {
		s.Trouble = *t
	} else if t := r.suspect.Load(); t != nil {
		s.Trouble = *t
	} else if s.Lost > 0 {
		s.Trouble = lostText(s.Lost)
	}
	return s
}

func lostText(n uint64) string {
	return fmt.Sprintf("%d rows could not be kept: the disk did not take them in time", n)
}

// remember keeps a trouble for the metadata.
func (r *Recorder) remember(text string) {
	const most = 8
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.past) < most && !slices.Contains(r.past, text) {
		r.past = append(r.past, text)
	}
}
