package source

import (
	"bytes"
	"context"
	"errors"
	"os"
	"reflect"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// live is a source of given events.
type live struct {
	events  []Event
	virtual bool
}

func (l live) Run(_ context.Context, emit func(Event) bool) {
	for _, e := range l.events {
		if !emit(e) {
			return
		}
	}
}
func (l live) Describe() string { return "live" }
func (l live) Virtual() bool    { return l.virtual }

func day() []Event {
	var all []byte
	for b := range 256 {
		all = append(all, byte(b))
	}
	return []Event{
		{Kind: Opened, At: 3, Name: "/dev/ttyUSB0"},
		{Kind: Bytes, At: 1_000_000_001, Bytes: all},
		{Kind: Bytes, At: 1_000_000_001, Bytes: []byte(`1,5000,\x41*3F`)},
		{Kind: Lost, At: 2e9, Err: errors.New("the device\thung up\n")},
		{Kind: Opened, At: 3e9, Name: "/dev/ttyUSB1"},
		{Kind: Bytes, At: 4e9, Bytes: []byte("2\r\n")},
	}
}

// plain makes causes comparable.
func plain(events []Event) (out []Event) {
	for _, e := range events {
		if e.Err != nil {
			e.Name, e.Err = e.Err.Error(), nil
		}
		out = append(out, e)
	}
	return out
}

func TestRecordingGivesBackWhatWasDelivered(t *testing.T) {
	for _, virtual := range []bool{true, false} {
		var file bytes.Buffer
		rec := RecordTo(&file, live{day(), virtual})
		passed := collect(rec)
		if rec.Err() != nil || !reflect.DeepEqual(passed, day()) {
			t.Fatalf("recording changed the source: %v", rec.Err())
		}
		if i := bytes.IndexFunc(file.Bytes(), func(r rune) bool { return r != '\n' && r != '\t' && (r < ' ' || r > '~') }); i >= 0 {
			t.Errorf("the file is not plain ASCII at byte %d", i)
		}
		back, err := NewRecording(&file, PlayOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if back.Virtual() != virtual {
			t.Errorf("recorded with virtual = %v, plays with %v", virtual, back.Virtual())
		}
		want := append(day(), Event{Kind: Ended, At: 4e9})
		if got := collect(back); !reflect.DeepEqual(plain(got), plain(want)) {
			t.Errorf("played\n%+v\nwant\n%+v", plain(got), plain(want))
		}
	}
}

func TestRecordingIsPaced(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var file bytes.Buffer
		collect(RecordTo(&file, live{day(), false}))
		rec, err := NewRecording(&file, PlayOptions{Speed: 4})
		if err != nil {
			t.Fatal(err)
		}
		got := collect(rec)
		// From 3 ns to 4 s, a quarter of it, cut to whole nanoseconds.
		if last := got[len(got)-1]; last.At != time.Second-time.Nanosecond {
			t.Errorf("4 s at fourfold speed took %v", last.At)
		}
	})
}

// The example is the one of the format's description.
func TestRecordingExample(t *testing.T) {
	text, err := os.ReadFile("recording.go")
	if err != nil {
		t.Fatal(err)
	}
	var example strings.Builder
	for line := range strings.Lines(string(text)) {
		if l, ok := strings.CutPrefix(line, "//\t"); ok {
			example.WriteString(strings.ReplaceAll(l, "<TAB>", "\t"))
		}
	}
	rec, err := NewRecording(strings.NewReader(example.String()), PlayOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var got []byte
	var last int64
	for {
		chunk, at, ok := rec.Next()
		if !ok {
			break
		}
		got, last = append(got, chunk...), at
	}
	if want := "#fields seq,t_us,echo_us\n1,5000,3171*3F\n"; string(got) != want || last != 8_100_000 || rec.Err() != nil {
		t.Errorf("the example plays %q until %d ns, %v; want %q", got, last, rec.Err(), want)
	}
}

func TestRecordingRefusesDamage(t *testing.T) {
	const good = recordingDevice + "\n0\topened\tx\n"
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "line 1"},
		{"other file", "time_s,raw_echo_us\n", "line 1"},
		{"later version", "#joulewell-recording 2 device\n", "line 1"},
		{"no text", good + "5\tbytes\n", "line 3: 2 fields"},
		{"time", good + "5.5\tbytes\tx\n", "line 3: time"},
		{"word", good + "5\tbyte\tx\n", "line 3: event"},
		{"escape", good + `5` + "\tbytes\t" + `\q` + "\n", `line 3: text has \q`},
		{"half escape", good + "5\tbytes\t" + `\x4` + "\n", `line 3: text has \x4`},
		{"signed escape", good + "5\tbytes\t" + `\x+4` + "\n", `line 3: text has \x+4`},
		{"lone backslash", good + "5\tbytes\t" + `a\` + "\n", "line 3: text ends"},
		{"cut off", good + "5\tbytes\tabc", "line 3: the file ends"},
	} {
		rec, err := NewRecording(strings.NewReader(c.text), PlayOptions{})
		if err == nil {
			got := collect(rec)
			if err = got[len(got)-1].Err; got[0].Kind != Opened {
				t.Errorf("%s: what comes before the damage is not played", c.name)
			}
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want a refusal that says %q", c.name, err, c.want)
		}
	}
}

// full is a disk that has no room for a while.
type full struct {
	bytes.Buffer
	fails int // which write
	count int
}

func (f *full) Write(b []byte) (int, error) {
	if f.count++; f.count == f.fails {
		return 0, errors.New("no space left")
	}
	return f.Buffer.Write(b)
}

func TestRecorderOutlivesItsFile(t *testing.T) {
	disk := &full{fails: 3}
	rec := RecordTo(disk, live{day(), false})
	if got := collect(rec); len(got) != len(day()) {
		t.Errorf("%d events passed a full disk, want %d", len(got), len(day()))
	}
	if rec.Err() == nil || !strings.Contains(rec.Err().Error(), "no space left") {
		t.Errorf("the recorder says %v", rec.Err())
	}
	// A recording with a hole in it would pass for a whole one.
	if want := recordingDevice + "\n3\topened\t/dev/ttyUSB0\n"; disk.String() != want {
		t.Errorf("the file holds %q, want %q", disk.String(), want)
	}
	rec = RecordTo(&full{}, live{[]Event{{Kind: Timed}}, false})
	if collect(rec); rec.Err() == nil {
		t.Error("a recorder takes readings that have no bytes")
	}
}

// Law: a line that is taken says the same after it is written again.
func FuzzRecordedLine(f *testing.F) {
	for _, e := range day() {
		f.Add(strings.TrimSuffix(string(appendRecorded(nil, e)), "\n"))
	}
	f.Add("5\tbytes\t\\x4")
	f.Fuzz(func(t *testing.T, line string) {
		e, err := parseRecorded(line)
		if err != nil {
			return
		}
		again, err := parseRecorded(strings.TrimSuffix(string(appendRecorded(nil, e)), "\n"))
		if err != nil || !reflect.DeepEqual(plain([]Event{e}), plain([]Event{again})) {
			t.Errorf("%q is %+v, written again %+v, %v", line, e, again, err)
		}
	})
}
