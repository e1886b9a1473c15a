package daq

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/wire"
	"joulewell/energy"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// script is a source that a test drives event by event.
type script struct {
	events chan source.Event
	taken  chan struct{}
}

func newScript() *script {
	return &script{events: make(chan source.Event), taken: make(chan struct{})}
}

func (s *script) Describe() string { return "script" }
func (s *script) Virtual() bool    { return false }
func (s *script) Run(ctx context.Context, emit func(source.Event) bool) {
	for {
		select {
		case e := <-s.events:
			if !emit(e) {
				return
			}
			s.taken <- struct{}{}
		case <-ctx.Done():
			return
		}
	}
}

// stage is a bench under a script, on a clock that the test moves.
type stage struct {
	*Bench
	t      *testing.T
	script *script
	clock  atomic.Int64
	seq    uint32
	stop   func() error
}

func newStage(t *testing.T, change ...func(*Options)) *stage {
	t.Helper()
	s := &stage{t: t, script: newScript()}
	o := Options{
		Setup: bench(), Source: s.script, Dir: t.TempDir(), Version: "test", Log: slog.New(slog.DiscardHandler),
		Device: setup.Device{RequireChecksum: true},
		Clock:  s.now,
	}
	for _, c := range change {
		c(&o)
	}
	b, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	s.Bench = b
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- b.Run(ctx) }()
	s.stop = func() error {
		cancel()
		err := <-ended
		s.stop = func() error { return err }
		return err
	}
	t.Cleanup(func() { s.stop() })
	return s
}

func (s *stage) now() time.Duration { return time.Duration(s.clock.Load()) }

func (s *stage) pass(d time.Duration) { s.clock.Add(int64(d)) }

// send hands one event to the bench and waits until the bench has dealt with it.
func (s *stage) send(e source.Event) {
	s.t.Helper()
	s.script.events <- e
	<-s.script.taken
	s.settle()
}

// settle makes the status that Status returns the newest.
func (s *stage) settle() {
	s.t.Helper()
	if err := s.do(func() {}); err != nil {
		s.t.Fatal(err)
	}
}

func (s *stage) bytes(text string) {
	s.send(source.Event{Kind: source.Bytes, At: s.now(), Bytes: []byte(text)})
}

func (s *stage) open() {
	s.send(source.Event{Kind: source.Opened, At: s.now(), Name: "/dev/script"})
	s.bytes("half a line\n#fields seq,t_us,range_mm\n")
}

// line is a data line of the device.
func (s *stage) line(deviceUs uint32, mm float64) string {
	var r wire.Reading
	s.seq++
	r.Seq, r.DeviceUs = s.seq, deviceUs
	r.Set(wire.RangeMm, mm)
	return string(wire.AppendReading(nil, []wire.Column{wire.Seq, wire.DeviceUs, wire.RangeMm}, &r))
}

// play sends seconds of readings at 100/s; the device's clock is the host's.
func (s *stage) play(seconds float64) {
	for range int(seconds * 100) {
		s.pass(10 * time.Millisecond)
		us := uint32(s.now().Microseconds())
		s.bytes(s.line(us, 600+100*math.Sin(8*s.now().Seconds())))
	}
}

func TestReadingsBecomeAStatus(t *testing.T) {
	s := newStage(t)
	if got := s.Status(); got.Link != Waiting || got.Fresh {
		t.Fatalf("before anything: link %s, fresh %t", got.Link, got.Fresh)
	}
	s.open()
	if got := s.Status(); got.Link != Opening || got.Port != "/dev/script" || got.Epoch != 1 {
		t.Fatalf("after the open: %+v", got)
	}
	s.play(1)
	got := s.Status()
	if got.Link != Live || !got.Fresh || got.Newest != s.seq || got.Lines.Accepted != 100 {
		t.Errorf("link %s, fresh %t, newest %d of %d, accepted %d", got.Link, got.Fresh, got.Newest, s.seq, got.Lines.Accepted)
	}
	if !got.Last.Energies.Total.Known() {
		t.Errorf("no energies in %+v", got.Last)
	}
	s.pass(1100 * time.Millisecond)
	s.settle()
	if got := s.Status(); got.Link != Silent || got.Fresh {
		t.Errorf("after a silent second: link %s, fresh %t", got.Link, got.Fresh)
	}
	s.send(source.Event{Kind: source.Lost, At: s.now(), Err: errors.New("unplugged: plug it in")})
	if got := s.Status(); got.Link != Waiting || got.LinkDetail != "unplugged: plug it in" || got.Port != "" {
		t.Errorf("after the loss: %+v", got)
	}
	s.open()
	s.play(0.5)
	if got := s.Status(); got.Link != Live || got.Epoch != 2 || got.Opens != 2 {
		t.Errorf("after it came back: link %s, epoch %d, opens %d", got.Link, got.Epoch, got.Opens)
	}
}

// The bench takes whatever a line may carry; what it cannot read is counted and the
// readings around it stay.
func TestBadInput(t *testing.T) {
	noise := make([]byte, 100_000)
	rng := rand.New(rand.NewPCG(1, 1))
	for i := range noise {
		noise[i] = byte(rng.Uint32())
	}
	for _, c := range []struct {
		name string
		send func(*stage)
	}{
		{"binary noise, as at a wrong bit rate", func(s *stage) { s.bytes(string(noise) + "\n") }},
		{"ten megabytes without a newline", func(s *stage) {
			for range 100 {
				s.bytes(strings.Repeat("7", 100_000))
			}
			s.bytes("\n")
		}},
		{"wrong checksum", func(s *stage) { s.bytes("1,2,3*00\n") }},
		{"torn line", func(s *stage) { s.bytes("17,123\n") }},
		{"not a number", func(s *stage) { s.bytes(checked("1,20,nan")) }},
		{"infinite", func(s *stage) { s.bytes(checked("1,20,Inf")) }},
		{"huge", func(s *stage) { s.bytes(checked("1,20,1e300")) }},
		{"time not a number", func(s *stage) { s.bytes(checked("1,,3")) }},
		{"missing column", func(s *stage) { s.bytes(checked("1,20")) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newStage(t)
			s.open()
			s.play(0.5)
			before := s.Status().Lines
			c.send(s)
			s.settle()
			var refused uint64
			for i, n := range s.Status().Lines.Refused {
				refused += n - before.Refused[i]
			}
			if refused == 0 {
				t.Error("nothing was counted as refused")
			}
			s.play(0.5)
			got := s.Status()
			if got.Lines.Accepted != before.Accepted+50 || got.Link != Live || !got.Last.Energies.Total.Known() {
				t.Errorf("afterwards: accepted %d, link %s, total %v", got.Lines.Accepted, got.Link, got.Last.Energies.Total)
			}
		})
	}
}

func checked(body string) string {
	return fmt.Sprintf("%s*%02X\n", body, wire.Checksum([]byte(body)))
}

func TestUnreadableBytesAreTold(t *testing.T) {
	s := newStage(t)
	s.send(source.Event{Kind: source.Opened, At: s.now(), Name: "/dev/script"})
	for range 150 {
		s.pass(10 * time.Millisecond)
		s.bytes("\xf8\x80\n")
	}
	if got := s.Status(); got.Link != Unreadable || !strings.Contains(got.LinkDetail, "bit rate") {
		t.Errorf("link %s (%s), want unreadable and a word on the bit rate", got.Link, got.LinkDetail)
	}
}

func TestFieldsInNewOrderAfterReconnect(t *testing.T) {
	s := newStage(t)
	s.open()
	s.play(1)
	s.send(source.Event{Kind: source.Lost, At: s.now(), Err: errors.New("gone")})
	s.send(source.Event{Kind: source.Opened, At: s.now(), Name: "/dev/script"})
	s.bytes("rest of a line\n#fields range_mm,t_us\n")
	for range 50 {
		s.pass(10 * time.Millisecond)
		s.bytes(checked(fmt.Sprintf("550,%d", s.now().Microseconds())))
	}
	if got := s.Status().Last; math.Abs(got.Height.Value-0.55) > 1e-6 {
		t.Errorf("height = %g, want 0.55", got.Height.Value)
	}
}

// What a device said of its columns before it was opened anew counts no more.
func TestFieldsAreForgottenAtAnOpen(t *testing.T) {
	s := newStage(t)
	s.open()
	s.play(0.5)
	s.send(source.Event{Kind: source.Opened, At: s.now(), Name: "/dev/script"})
	s.pass(time.Second / 10)
	s.bytes("\n" + s.line(uint32(s.now().Microseconds()), 600))
	if got := s.Status().Lines; got.Accepted != 50 || got.RefusedTotal() != 1 {
		t.Errorf("accepted %d, refused %d; want 50 and the line without known columns", got.Accepted, got.RefusedTotal())
	}
}

func TestTimeGoingBackwardsIsCounted(t *testing.T) {
	s := newStage(t)
	s.open()
	s.play(1)
	s.bytes(s.line(uint32(s.now().Microseconds())-30_000, 600))
	if got := s.Status(); got.Misplaced != 1 || got.Epoch != 1 {
		t.Errorf("misplaced %d, epoch %d, want 1 and 1", got.Misplaced, got.Epoch)
	}
	for range 50 { // a restart without being reopened
		s.pass(10 * time.Millisecond)
		us := uint32(s.now().Microseconds() - 900_000)
		s.bytes(s.line(us, 600))
	}
	s.play(0.5)
	if got := s.Status(); got.Link != Live {
		t.Errorf("link %s after the device restarted", got.Link)
	}
}

func TestLinesOfTheSameMicrosecond(t *testing.T) {
	s := newStage(t)
	s.open()
	s.play(0.5)
	us := uint32(s.now().Microseconds()) + 5000
	first, second := s.line(us, 600), s.line(us, 601)
	s.bytes(first + first) // the cable's fault: the same line twice
	s.bytes(second)        // another sensor's reading of the same microsecond
	if got := s.Status(); got.Misplaced != 1 || got.Newest != s.seq {
		t.Errorf("misplaced %d, newest %d of %d; want 1 and the last", got.Misplaced, got.Newest, s.seq)
	}
}

func TestARunIsAFunctionOfItsReadings(t *testing.T) {
	s := newStage(t)
	if _, err := s.StartRun(""); !errors.Is(err, ErrNoReadings) {
		t.Errorf("start without readings = %v", err)
	}
	if _, err := s.StopRun(); !errors.Is(err, ErrNotRecording) {
		t.Errorf("stop without a run = %v", err)
	}
	s.open()
	s.play(3)
	if _, err := s.StartRun("first, with a card"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.StartRun(""); !errors.Is(err, ErrRecording) {
		t.Errorf("second start = %v", err)
	}
	s.play(2)
	s.pass(5 * time.Millisecond)
	s.seq++
	s.bytes(checked(fmt.Sprintf("%d,%d,", s.seq, s.now().Microseconds()))) // a lost echo
	s.pass(5 * time.Millisecond)
	s.play(0.5)
	s.send(source.Event{Kind: source.Opened, At: s.now(), Name: "/dev/script"})
	s.bytes("x\n#fields seq,t_us,range_mm\n")
	s.play(1)
	ended, err := s.StopRun()
	if err != nil {
		t.Fatal(err)
	}
	s.play(0.5) // the viewers' frames go on
	if got := s.Status(); !got.Last.Energies.Total.Known() || got.Run.Active {
		t.Errorf("after the run: %+v", got.Run)
	}

	infos, err := s.Runs()
	if err != nil || len(infos) != 1 || infos[0].Name != ended.Name || !infos[0].Complete || infos[0].Note != "first, with a card" {
		t.Fatalf("runs = %+v, %v", infos, err)
	}
	run, err := runfile.Open(filepath.Join(s.opt.Dir, infos[0].File))
	if err != nil {
		t.Fatal(err)
	}
	defer run.Close()
	var first, last int64 = math.MaxInt64, math.MinInt64
	rows, withEnergies, noEcho := 0, 0, 0
	err = Rework(run, &run.Meta().Setup, func(recorded, again *frame.Frame) {
		rows++
		first, last = min(first, recorded.T), max(last, recorded.T)
		a, b := runfile.AppendRow(nil, recorded), runfile.AppendRow(nil, again)
		if string(a) != string(b) {
			t.Errorf("row %d:\n%s%s", rows, a, b)
		}
		if again.Energies.Total.Known() {
			withEnergies++
		}
		if again.Flags&frame.NoEcho != 0 {
			noEcho++
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if noEcho != 1 {
		t.Errorf("%d rows without an echo, want 1", noEcho)
	}
	if rows < 545 || uint64(rows) != ended.Rows || first > -1.98e9 || first < -2e9 || last < 2.9e9 {
		t.Errorf("%d rows (%d told) from %d to %d ns", rows, ended.Rows, first, last)
	}
	if withEnergies < rows-40 {
		t.Errorf("only %d of %d rows have energies", withEnergies, rows)
	}
}

// A run that will be killed has only what its description said at the start.
func TestARunKnowsItsColumnsFromTheStart(t *testing.T) {
	s := newStage(t)
	s.open()
	s.bytes("#fields seq,t_us,range_mm,humid_raw\n#virtual a bench on a wire\n")
	for range 50 {
		s.pass(10 * time.Millisecond)
		s.seq++
		s.bytes(checked(fmt.Sprintf("%d,%d,600,41", s.seq, s.now().Microseconds())))
	}
	if _, err := s.StartRun(""); err != nil {
		t.Fatal(err)
	}
	if m := s.run.meta; !m.Virtual || len(m.UnknownColumns) != 1 || m.UnknownColumns[0] != "humid_raw" {
		t.Errorf("at the start: virtual %t, unknown columns %q", m.Virtual, m.UnknownColumns)
	}
}

func TestStoppingTheBenchClosesTheRun(t *testing.T) {
	s := newStage(t)
	s.open()
	s.play(1)
	if _, err := s.StartRun(""); err != nil {
		t.Fatal(err)
	}
	s.play(1)
	dir := s.opt.Dir
	if err := s.stop(); err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*"))
	if len(files) != 2 {
		t.Fatalf("files = %v, want the run and its description", files)
	}
	if _, err := s.StartRun(""); !errors.Is(err, ErrStopped) {
		t.Errorf("start after the end = %v", err)
	}
}

func TestListenersGetEveryFrameOnce(t *testing.T) {
	s := newStage(t)
	var times []int64
	var newest uint32
	stop := s.Listen(func(b Batch) {
		newest = b.Newest
		for i := range b.Frames {
			times = append(times, b.Frames[i].T)
		}
	})
	s.open()
	s.play(1)
	if _, err := s.StartRun(""); err != nil {
		t.Fatal(err)
	}
	s.play(1)
	if _, err := s.StopRun(); err != nil {
		t.Fatal(err)
	}
	s.play(1)
	stop()
	heard := len(times)
	s.play(0.2)
	if len(times) != heard {
		t.Error("heard more after stop")
	}
	if heard < 290 || newest != 300 {
		t.Errorf("%d frames heard, newest reading %d", heard, newest)
	}
	for i := 1; i < len(times); i++ {
		if times[i]-times[i-1] != 10e6 {
			t.Errorf("frame %d comes %d ns after the one before, want 10 ms", i, times[i]-times[i-1])
		}
	}
}

func TestOpenRunKnowsOnlyItsOwn(t *testing.T) {
	s := newStage(t)
	for _, name := range []string{"", "../etc/passwd", "/etc/passwd", "nothing"} {
		if f, _, err := s.OpenRun(name); err == nil {
			text, _ := io.ReadAll(f)
			t.Errorf("OpenRun(%q) gave %q", name, text)
		}
	}
}

// A bench that was calibrated anew shows so at once, from the readings it already has;
// a run being recorded keeps its setup to the end.
func TestAdopt(t *testing.T) {
	s := newStage(t)
	s.open()
	s.play(3)
	was := s.Status()
	anew := *s.Setup()
	anew.Calibration.Distance.Offset.Value += 0.1

	impossible := anew
	impossible.Apparatus.Bob.Mass.Value = -1
	if err := s.Adopt(&impossible); !errors.Is(err, energy.ErrImpossible) || s.Setup() != was.Setup {
		t.Errorf("Adopt() of an impossible bench = %v", err)
	}
	if _, err := s.StartRun(""); err != nil {
		t.Fatal(err)
	}
	if err := s.Adopt(&anew); !errors.Is(err, ErrRecording) || s.Setup() != was.Setup {
		t.Errorf("Adopt() in a run = %v", err)
	}
	if _, err := s.StopRun(); err != nil {
		t.Fatal(err)
	}
	if err := s.Adopt(&anew); err != nil {
		t.Fatal(err)
	}
	s.play(0.2)
	now := s.Status()
	if now.Setup != &anew || !now.Last.Height.Known() {
		t.Fatalf("after Adopt(): %+v", now.Last)
	}
	// The same motion, a tenth of a metre higher.
	want := 0.6 + 0.1*math.Sin(8*float64(now.Last.T)*1e-9) + s.Setup().Calibration.Distance.Offset.Value
	if off := now.Last.Height.Value - want; math.Abs(off) > 0.01 {
		t.Errorf("height %g m, want about %g m", now.Last.Height.Value, want)
	}
}

// Two daemons do not record into one folder; who comes second is told what to do, and gets
// it when the first has ended.
func TestOneBenchAFolder(t *testing.T) {
	s := newStage(t)
	o := s.opt
	if _, err := New(o); err == nil || !strings.Contains(err.Error(), "another joulewell records into "+o.Dir) || !strings.Contains(err.Error(), "--data") {
		t.Errorf("a second bench on %s: %v", o.Dir, err)
	}
	if err := s.stop(); err != nil {
		t.Fatal(err)
	}
	second, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	second.dir.Close()
	second.hold.Close()
}

// A run can reach further back than its pre-trigger, as far as readings are kept, and still
// comes out the same when worked out again.
func TestARunReachesBack(t *testing.T) {
	s := newStage(t)
	s.open()
	s.play(12)
	var first []float64
	for _, back := range []time.Duration{time.Second, 5 * time.Second, time.Minute} {
		begun, err := s.StartRunFrom("", s.newest.T-int64(back))
		if err != nil {
			t.Fatal(err)
		}
		if behind := s.newest.T - begun.Zero; behind < 0 || behind > 30e6 {
			t.Errorf("time zero lies %d ns behind the newest reading", behind)
		}
		s.play(1)
		ended, err := s.StopRun()
		if err != nil {
			t.Fatal(err)
		}
		run, err := runfile.Open(filepath.Join(s.opt.Dir, ended.Name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		defer run.Close()
		begins := math.NaN()
		c, err := Compare(run, run.Meta(), func(f *frame.Frame) {
			if math.IsNaN(begins) {
				begins = f.Seconds()
			}
		})
		if err != nil || c.Differing > 0 {
			t.Errorf("%v back: %+v, %v", back, c, err)
		}
		first = append(first, begins)
	}
	for i, want := range []float64{-2, -5, -8} {
		if math.Abs(first[i]-want) > 0.05 {
			t.Errorf("runs begin at %g s, want about -2, -5 and -8", first)
			break
		}
	}
}
