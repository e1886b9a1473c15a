package daq

import (
	"bytes"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

// benches is how many benches a campaign of faults plays, by the environment where one
// has the time.
func benches(t *testing.T, usual int) int {
	t.Helper()
	text := os.Getenv("JOULEWELL_BENCHES")
	if text == "" {
		return usual
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("JOULEWELL_BENCHES = %q: must be a number of benches", text)
	}
	return n
}

// cable carries a virtual device's bytes to a bench, on a clock of its own, and badly.
type cable struct {
	t      *testing.T
	rng    *rand.Rand
	bench  *Bench
	device *virtual.Device
	now    time.Duration

	held    []byte        // bytes that the host has not been given yet
	until   time.Duration // when it will be
	garble  time.Duration // until then the bit rate is wrong
	since   []byte        // delivered since the line was opened
	ended   int           // [1] lines delivered in earlier openings
	played  map[string]int
	trouble []string
}

// next carries on until the device's next piece of output.
func (c *cable) next() {
	chunk, at, ok := c.device.Next()
	if !ok {
		c.t.Fatal("the device has ended")
	}
	at2 := time.Duration(at)
	if c.until > 0 && at2 >= c.until {
		c.now = max(c.now, c.until)
		c.until = 0
		c.deliver(c.held)
		c.held = nil
	}
	c.now = max(c.now, at2)
	if c.now < c.garble {
		chunk = c.garbled(chunk)
	}
	if c.until > 0 {
		c.held = append(c.held, chunk...)
		c.sees(c.now)
		return
	}
	c.deliver(chunk)
}

func (c *cable) deliver(chunk []byte) {
	c.since = append(c.since, chunk...)
	c.bench.handle(&source.Event{Kind: source.Bytes, At: c.now, Bytes: chunk})
}

// sees checks that a bench that has had no reading for a second does not say otherwise.
func (c *cable) sees(now time.Duration) {
	c.bench.publish()
	if st := c.bench.Status(); now-c.bench.link.readAt > quiet && (st.Fresh || st.Link == Live) {
		c.t.Errorf("at %v, %v after the last reading, the bench says it is %s, fresh %t", now, now-c.bench.link.readAt, st.Link, st.Fresh)
	}
}

// garbled is what a receiver at twice or half the bit rate makes of bytes.
func (c *cable) garbled(chunk []byte) []byte {
	var out []byte
	for i, b := range chunk {
		if b ^= byte(c.rng.Uint32()) | 0x80; c.rng.IntN(2) == 0 {
			out = append(out, b)
		}
		if c.rng.IntN(8) == 0 {
			out = append(out, b>>1, chunk[i])
		}
	}
	return out
}

// unplug takes the cable off in the middle of a line, and puts it on again.
func (c *cable) unplug(mute time.Duration) {
	chunk, at, _ := c.device.Next()
	c.now = max(c.now, time.Duration(at))
	c.deliver(append(c.held, chunk[:c.rng.IntN(len(chunk)+1)]...))
	c.held, c.until = nil, 0
	c.bench.handle(&source.Event{Kind: source.Lost, At: c.now, Err: errors.New("hung up")})
	if st := c.bench.Status(); st.Link != Waiting || st.Fresh {
		c.t.Errorf("unplugged, the bench says it is %s, fresh %t", st.Link, st.Fresh)
	}
	for back := c.now + mute; c.now < back; {
		_, at, _ := c.device.Next() // to nobody
		c.now = max(c.now, time.Duration(at))
	}
	c.sees(c.now)
	c.open()
}

func (c *cable) open() {
	c.ended += complete(c.since)
	c.since = c.since[:0]
	c.device.Restart()
	c.bench.handle(&source.Event{Kind: source.Opened, At: c.now, Name: "cable"})
}

// complete counts the lines of an opening: not the first, which may be a rest, nor the last
// unless it is too long to become one.
func complete(delivered []byte) int {
	all := bytes.Split(delivered, []byte("\n"))
	n := len(all) - 2
	if len(all) == 1 {
		return 0
	}
	if len(all[len(all)-1]) > wire.MaxLine {
		n++
	}
	return n
}

// mischief does one thing that cables, hosts and people do.
func (c *cable) mischief() {
	kind := []string{"unplug", "garble", "burst", "stop", "reset"}[c.rng.IntN(5)]
	c.played[kind]++
	c.trouble = append(c.trouble, fmt.Sprintf("%s at %v", kind, c.now.Round(time.Millisecond)))
	switch kind {
	case "unplug":
		c.unplug(time.Duration(c.rng.IntN(1500)) * time.Millisecond)
	case "garble":
		c.garble = c.now + time.Duration(50+c.rng.IntN(1800))*time.Millisecond
	case "burst":
		c.until = c.now + 500*time.Millisecond
	case "stop": // SIGSTOP of the daemon, or a host that slept with its clock running
		c.until = c.now + time.Duration(1000+c.rng.IntN(3000))*time.Millisecond
	case "reset":
		c.device.Restart()
	}
}

// A bench with faults of its device and, on top, a cable that is unplugged in the middle
// of lines, read at a wrong bit rate, held up and restarted at random instants, loses no
// reading that it accepted, counts every line, says what is the case, and its run comes
// out the same when it is worked out again.
func TestFaultsOfDeviceAndCable(t *testing.T) {
	played := map[string]int{}
	for seed := range benches(t, 8) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) { campaign(t, uint64(seed), played) })
	}
	t.Logf("played %v", played)
	if len(played) < 5 {
		t.Error("not every mischief has been played: take more benches")
	}
}

func campaign(t *testing.T, seed uint64, played map[string]int) {
	rng := rand.New(rand.NewPCG(seed, 20261125))
	config := virtual.Default()
	config.Seed = seed
	var names []string
	all := virtual.Faults()
	for _, i := range rng.Perm(len(all))[:3] {
		f := all[i]
		if f.Name != "no-fields" { // with which there is nothing to lose
			names = append(names, f.Name)
		}
	}
	var err error
	if config.Faults, err = virtual.ParseFaults(names); err != nil {
		t.Fatal(err)
	}
	c := &cable{t: t, rng: rng, played: played}
	if c.device, err = virtual.New(config); err != nil {
		t.Fatal(err)
	}
	b := virtual.Setup(config)
	c.bench, err = New(Options{
		Setup: &b, Source: idle{}, Dir: t.TempDir(), Log: slog.New(slog.DiscardHandler),
		Clock: func() time.Duration { return c.now }, Device: setup.Device{RequireChecksum: true},
	})
	if err != nil {
		t.Fatal(err)
	}
	c.open()
	play := func(until time.Duration) {
		for next := c.now + 3*time.Second; c.now < until; c.next() {
			if c.now > next {
				c.mischief()
				next = c.now + time.Duration(300+rng.IntN(2500))*time.Millisecond
			}
		}
	}
	play(8 * time.Second)
	meta := runfile.Meta{Setup: b}
	recorder, err := runfile.Create(c.bench.dir, "run", meta, runfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	placed := func() uint64 { return c.bench.decoder.Counts().Accepted - c.bench.refused }
	before := placed() - uint64(c.bench.recent.count)
	c.bench.attach(recorder, meta, 0) // from as far back as it can
	play(20 * time.Second)
	ended := c.bench.detach()
	if _, err := c.bench.conclude(&ended); err != nil {
		t.Fatal(err)
	}

	counts := c.bench.decoder.Counts()
	if got, want := counts.Lines(), uint64(c.ended+complete(c.since)); got != want {
		t.Errorf("%d lines are accounted for, %d were delivered", got, want)
	}
	run, err := runfile.Open(filepath.Join(c.bench.opt.Dir, "run.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer run.Close()
	result, err := Compare(run, run.Meta(), func(*frame.Frame) {})
	if err != nil {
		t.Fatal(err)
	}
	if want := placed() - before; uint64(result.Rows) != want || result.Rows == 0 {
		t.Errorf("the run has %d rows, %d readings were accepted", result.Rows, want)
	}
	if result.Differing > 0 {
		t.Errorf("%d of %d rows come out differently, the first is row %d, column %s", result.Differing, result.Rows, result.First, result.Column)
	}
	if t.Failed() {
		t.Logf("faults %v, %v", names, c.trouble)
	}
}
