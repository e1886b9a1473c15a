package doctor

import (
	"errors"
	"io/fs"
	"net"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"joulewell/daq/source"
)

var today = time.Date(2026, 11, 25, 18, 42, 10, 0, time.UTC)

// healthy is a bench with which nothing is the matter.
func healthy() Facts {
	return Facts{
		File:  File{Path: "bench.toml", Bench: "Severn"},
		Port:  Port{Name: "auto", Inspection: source.Inspection{Port: source.Port{Path: "/dev/ttyUSB0", Vendor: "0403", Product: "6001", Known: true, Access: true, Usable: true}, Latency: 1}},
		Data:  Data{Path: "runs", Free: 100 << 30},
		Clock: Clock{Now: today, Newest: today.Add(-time.Hour), NewestOf: "run a"},
		Parts: []Part{{Name: "load cell", Date: today.AddDate(0, 0, -30)}, {Name: "spring", Date: today.AddDate(0, 0, -3)}},
		Web:   Web{Address: "127.0.0.1:8420"},
	}
}

func TestHealthyBench(t *testing.T) {
	f := healthy()
	all := Examine(&f)
	if len(all) != 7 {
		t.Errorf("%d findings, want one for each of six things and one for each of two calibrations: %+v", len(all), all)
	}
	for _, one := range all {
		if one.Verdict != OK || one.Do != "" {
			t.Errorf("%+v, want ok and nothing to do", one)
		}
	}
}

// Each thing that can be the matter is said in its place, with what to do, and changes
// nothing of what is said of the others.
func TestFindings(t *testing.T) {
	for _, c := range []struct {
		name     string
		change   func(*Facts)
		verdict  Verdict
		about    string
		says, do string
	}{
		{"no bench file", func(f *Facts) { f.File.Path = "" }, Look, "bench file", "there is none", "write a bench.toml"},
		{"bad bench file", func(f *Facts) { f.File.Err = errors.New("read bench.toml: line 3: no") }, Wrong, "bench file", "line 3", "correct it"},
		{"doubtful bench file", func(f *Facts) { f.File.Cautions = []string{"the load cell is not calibrated"} }, Look, "bench file", "not calibrated", "compare"},
		{"no device", func(f *Facts) {
			f.Port.Err = errors.New("open serial port /dev/ttyUSB0: there is no such device: plug it in")
		}, Wrong, "port", "no such device", "plug it in"},
		{"port in use", func(f *Facts) { f.Port.Holder = "process 4711 (cat)" }, Wrong, "port", "in use by process 4711 (cat)", "stop it"},
		{"port in use by the daemon", func(f *Facts) { f.Port.Holder = "process 4711 (joulewell)" }, Look, "port", "(joulewell)", "if that is meant"},
		{"modem manager", func(f *Facts) { f.Port.Probed = true }, Look, "port", "ModemManager", "60-joulewell.rules"},
		{"slow bridge", func(f *Facts) { f.Port.Latency = 16 }, Look, "port", "for 16 ms", "1 ms"},
		{"unknown device", func(f *Facts) { f.Port.Known = false }, Look, "port", "usb:0403:6001", "no modem"},
		{"folder of others", func(f *Facts) { f.Data.Err = os.ErrPermission }, Wrong, "data folder", "permission denied", "--data"},
		{"full disk", func(f *Facts) { f.Data.Free = 49 << 20 }, Wrong, "data folder", "49 MB", "below 50 MB"},
		{"filling disk", func(f *Facts) { f.Data.Free = 51 << 20 }, Look, "data folder", "51 MB", "free space"},
		{"cut runs", func(f *Facts) { f.Data.Cut = 2 }, Look, "data folder", "cut short: 2", "it repairs"},
		{"clock without battery", func(f *Facts) { f.Clock.Now = time.Unix(1000, 0) }, Wrong, "clock", "1970", "set"},
		{"clock behind", func(f *Facts) { f.Clock.Newest = today.Add(2 * time.Minute) }, Wrong, "clock", "run a is of 2026-11-25T18:44:10Z", "set"},
		{"clock on its own", func(f *Facts) { f.Clock.Unsynced = true }, Look, "clock", "nothing keeps it right", "compare"},
		{"spoiled book", func(f *Facts) { f.PartsBy = errors.New("line 7") }, Wrong, "calibration", "line 7", "mend"},
		{"uncalibrated", func(f *Facts) { f.Parts[1].Date = time.Time{} }, Look, "calibration", "no calibration of the spring", "calibrate"},
		{"another spring", func(f *Facts) { f.Parts[1].Stale, f.Parts[1].Date = "it is another", time.Time{} }, Look, "calibration", "it is another", "calibrate"},
		{"book of another user", func(f *Facts) {
			f.Book.Err = &fs.PathError{Op: "open", Path: "/etc/joulewell/calibration.toml", Err: syscall.EACCES}
		}, Look, "calibration", "permission denied", "calibration_book"},
		{"overdue", func(f *Facts) { f.Parts[0].Overdue = "was due on 2026-10-01" }, Look, "calibration", "was due", "calibrate"},
		{"address taken", func(f *Facts) {
			f.Web.Err = &net.OpError{Op: "listen", Err: os.NewSyscallError("bind", syscall.EADDRINUSE)}
		}, Wrong, "web address", "taken by another program", "--listen"},
		{"address taken by the daemon", func(f *Facts) { f.Web.Err, f.Web.Ours = syscall.EADDRINUSE, true }, Look, "web address", "serves on", "if that is meant"},
		{"address of another machine", func(f *Facts) {
			f.Web.Err = &net.OpError{Op: "listen", Err: os.NewSyscallError("bind", syscall.EADDRNOTAVAIL)}
		}, Wrong, "web address", "cannot assign requested address", "of this machine"},
		{"open to others", func(f *Facts) { f.Web.Beyond = true }, Look, "web address", "other machines", "key"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := healthy()
			c.change(&f)
			found := 0
			for _, one := range Examine(&f) {
				if one.Verdict == OK && one.Do == "" {
					continue
				}
				found++
				if one.Verdict != c.verdict || one.About != c.about || !strings.Contains(one.Says, c.says) || !strings.Contains(one.Do, c.do) {
					t.Errorf("found %+v, want %s on the %s: %s: %s", one, c.verdict, c.about, c.says, c.do)
				}
			}
			if found != 1 {
				t.Errorf("%d things are the matter, want one", found)
			}
		})
	}
}
