package series

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"
	"unicode/utf8"

	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
)

// Bench is what a series needs of a [daq.Bench].
type Bench interface {
	Status() *daq.Status
	Setup() *setup.Bench
	Listen(daq.Listener) (stop func())
	StartRunFrom(note string, from int64) (daq.Recording, error)
	StopRun() (daq.Recording, error)
}

// Options are what a series is made of.
type Options struct {
	Bench   Bench
	Dir     string // the data folder
	Version string // of the program, for what is kept
	Log     *slog.Logger
	Now     func() time.Time // by which hand-ins are dated; nil = the machine's
}

// Refusals of a command.
var (
	ErrNoTrial = errors.New("there is no such trial")
	ErrSealed  = errors.New("results are sealed until a group has handed in its figures, or somebody opens them")
	ErrRule    = errors.New("not a rule")
	ErrGroup   = errors.New("not a group's label")
)

// Series is the trials of one bench. Make it with [Open], let it live with [Series.Run];
// every other method may be called from any goroutine, and none waits for a run.
type Series struct {
	opt Options
	dir *os.Root
	ear ear

	events chan event    // from the ear
	wake   chan struct{} // capacity 1: there is something to do

	brief atomic.Pointer[Brief] // written under mu; its State is that of nobody watching

	// Of Run's goroutine.
	watch   *watch // that the ear was given; nil = none
	judging chan judgement
	busy    bool           // a judgement is being made
	beat    int            // [1] ticks so far
	fresh   int            // [1] the last of them at which readings arrived
	after   map[string]int // [1] tick from which on a run that was not finished is looked for again

	mu       sync.Mutex
	armed    bool
	rule     trials.Rule
	group    string
	now      *recorded // the run of the trial that is going on; nil = none
	lists    []list    // by time
	memory   memory
	troubles troubles
	told     string // the trouble by the newest revision
	revision uint64
	whole    uint64 // revision at which all trials changed
	life     string // tells its revisions from those of a series opened before
}

// Open opens the data folder, reads what is kept of earlier trials, and recalls whether
// results are sealed. The folder may be used by others meanwhile, for reading.
func Open(o Options) (*Series, error) {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	dir, err := os.OpenRoot(o.Dir)
	if err != nil {
		return nil, fmt.Errorf("open the trials: %w", err)
	}
	s := &Series{
		opt: o, dir: dir, events: make(chan event, 64), wake: make(chan struct{}, 1),
		judging: make(chan judgement, 1), after: map[string]int{}, life: rand.Text(),
	}
	s.ear.events, s.ear.status = s.events, o.Bench.Status
	s.recall()
	s.read()
	s.changed()
	return s, nil
}

// every is how often the series looks after what tells nobody.
const every = 250 * time.Millisecond

// Run watches the bench until ctx ends. It may be called once. A run being recorded is
// left to the bench, which closes it, and is judged at the next start.
func (s *Series) Run(ctx context.Context) {
	defer s.dir.Close()
	defer s.opt.Bench.Listen(s.ear.hear)()
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		s.tend()
		select {
		case e := <-s.events:
			s.take(e)
		case j := <-s.judging:
			s.busy = false
			s.judged(j)
		case <-tick.C:
			s.beat++
		case <-s.wake:
		case <-ctx.Done():
			if s.busy {
				s.judged(<-s.judging)
			}
			return
		}
	}
}

// nudge makes Run look at what a command has changed.
func (s *Series) nudge() {
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// CheckRule refuses a rule by which no trial could count.
func CheckRule(r trials.Rule) error {
	if r.Cycles != 0 && r.Cycles < fewest {
		return fmt.Errorf("%w: over after %d cycles: a trial needs %d whole swings to count; 0 is for however many", ErrRule, r.Cycles, fewest)
	}
	return nil
}

// fewest is how many whole swings a trial must have to count.
const fewest = 3

// Arm watches for releases from now on. The rule and the group hold for the trials to
// come; armed already, it only changes them.
func (s *Series) Arm(r trials.Rule, group string) error {
	if err := checkGroup(group); err != nil {
		return err
	}
	if err := CheckRule(r); err != nil {
		return err
	}
	if _, err := trials.NewWatcher(s.opt.Bench.Setup(), r); err != nil {
		return fmt.Errorf("%w: %w", ErrRule, err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.armed, s.rule, s.group = true, r, group
	s.changed()
	return nil
}

// Disarm watches no longer. A trial going on ends here.
func (s *Series) Disarm() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.armed = false
	s.troubles.start = ""
	s.changed()
}

// Group labels the trials to come.
func (s *Series) Group(label string) error {
	if err := checkGroup(label); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.group = label
	s.changed()
	return nil
}

// changed counts one more state of what is to be shown. The lock is held.
func (s *Series) changed() {
	s.revision++
	s.brief.Store(&Brief{s.armed, trials.Waiting, s.memory.Sealed, s.revision, s.memory.Sealed && s.memory.Asked.Extensions()})
	s.nudge()
}

const longest = 60 // [characters] of a label

func checkGroup(label string) error {
	if n := utf8.RuneCountInString(label); n > longest {
		return fmt.Errorf("%w: it has %d characters: at most %d can be kept", ErrGroup, n, longest)
	}
	if strings.HasPrefix(label, "=") || strings.HasPrefix(label, "+") || strings.HasPrefix(label, "-") || strings.HasPrefix(label, "@") {
		return fmt.Errorf("%w: it begins with %s, which a spreadsheet takes for a formula", ErrGroup, label[:1])
	}
	for _, c := range label {
		if c < ' ' || c == utf8.RuneError {
			return fmt.Errorf("%w: it holds a character that is not for reading", ErrGroup)
		}
	}
	return nil
}
