package doctor

import (
	"errors"
	"fmt"
	"net"
	"strings"
	"syscall"
	"time"

	"joulewell/daq/runfile"
)

// Verdict is how a thing stands.
type Verdict string

// The verdicts.
const (
	OK    Verdict = "ok"
	Look  Verdict = "look"  // it works, or will for a while; somebody should look at it
	Wrong Verdict = "wrong" // readings or runs cannot be had, or not be trusted, like this
)

// Finding is a verdict on one thing looked at.
type Finding struct {
	Verdict Verdict
	About   string
	Says    string // what was found
	Do      string // what to do about it; empty when nothing
}

// plenty is free space for about six hours of recording at 300 readings a second [byte].
const plenty = 25 * runfile.MinRoom

// slowTimer is how long a bridge may hold packets back before the picture is felt to lag
// [ms]; common practice, no source.
const slowTimer = 4

// Examine judges facts, in the order in which a bench is set up.
func Examine(f *Facts) []Finding {
	all := file(&f.File)
	all = append(all, port(&f.Port)...)
	all = append(all, data(&f.Data)...)
	all = append(all, clock(&f.Clock))
	all = append(all, parts(f)...)
	return append(all, web(&f.Web))
}

func file(f *File) []Finding {
	const about = "bench file"
	switch {
	case f.Err != nil:
		return []Finding{{Wrong, about, f.Err.Error(), "correct it; joulewell serve --check says what it means"}}
	case f.Path == "":
		return []Finding{{Look, about, "there is none: the values of the virtual bench would stand in", "write a bench.toml, or name one with --config"}}
	}
	all := []Finding{{OK, about, fmt.Sprintf("%s describes bench %s", f.Path, f.Bench), ""}}
	for _, c := range f.Cautions {
		all = append(all, Finding{Look, about, c, "compare the file with the bench"})
	}
	return all
}

func port(p *Port) []Finding {
	const about = "port"
	if p.Err != nil {
		says, do := split(p.Err)
		return []Finding{{Wrong, about, says, do}}
	}
	var all []Finding
	if p.Holder != "" {
		f := Finding{Wrong, about, p.Path + " is in use by " + p.Holder, "stop it: of two readers each gets a part of the bytes"}
		if strings.Contains(p.Holder, "(joulewell)") {
			f.Verdict, f.Do = Look, "nothing, if that is meant; a second one cannot read it"
		}
		all = append(all, f)
	}
	if p.Probed {
		all = append(all, Finding{Look, about, "ModemManager runs here and may write to " + p.Path, "install udev/60-joulewell.rules and plug the device in again, or stop ModemManager"})
	}
	if p.Latency > slowTimer {
		all = append(all, Finding{Look, about, fmt.Sprintf("the bridge at %s holds short packets for %d ms", p.Path, p.Latency), "install udev/60-joulewell.rules and plug the device in again: 1 ms"})
	}
	if p.Vendor != "" && !p.Known {
		all = append(all, Finding{Look, about, fmt.Sprintf("%s (usb:%s:%s) is no bridge or board known here", p.Path, p.Vendor, p.Product), "make sure that it is the device, and no modem or telephone"})
	}
	if len(all) == 0 {
		all = append(all, Finding{OK, about, fmt.Sprintf("%s can be opened and nobody else has it", p.Path), ""})
	}
	return all
}

func data(d *Data) []Finding {
	const about = "data folder"
	if d.Err != nil {
		return []Finding{{Wrong, about, d.Err.Error(), "give it to the user who runs joulewell, or choose another with --data"}}
	}
	room := Finding{OK, about, fmt.Sprintf("%s takes files, %d MB are free", d.Path, d.Free>>20), ""}
	switch {
	case d.Free < runfile.MinRoom:
		room.Verdict, room.Do = Wrong, fmt.Sprintf("free space: no run begins below %d MB", runfile.MinRoom>>20)
	case d.Free < plenty:
		room.Verdict, room.Do = Look, "free space, or move old runs elsewhere"
	}
	all := []Finding{room}
	if d.Cut > 0 {
		all = append(all, Finding{Look, about, fmt.Sprintf("runs that are being written, or were cut short: %d", d.Cut), "start joulewell on this folder: it repairs what nobody writes"})
	}
	return all
}

// earliest is before any joulewell: a clock that shows less has lost its time.
var earliest = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

func clock(c *Clock) Finding {
	const about, set = "clock", "set this machine's clock: runs and calibrations are dated by it"
	now := c.Now.UTC().Format(time.RFC3339)
	switch {
	case c.Now.Before(earliest):
		return Finding{Wrong, about, "it shows " + now + ", which is long past", set}
	case c.Now.Add(time.Minute).Before(c.Newest):
		return Finding{Wrong, about, fmt.Sprintf("it shows %s, but %s is of %s", now, c.NewestOf, c.Newest.UTC().Format(time.RFC3339)), set}
	case c.Unsynced:
		return Finding{Look, about, "it shows " + now + ", and nothing keeps it right", "compare it with a clock, or let the system set it over the network"}
	}
	return Finding{OK, about, "it shows " + now, ""}
}

func parts(f *Facts) []Finding {
	const about = "calibration"
	if f.PartsBy != nil {
		return []Finding{{Wrong, about, f.PartsBy.Error(), "mend the book by hand, from a copy: nothing is written into it until then"}}
	}
	var all []Finding
	for _, p := range f.Parts {
		one := Finding{Verdict: Look, About: about, Do: "joulewell calibrate --help says how"}
		switch {
		case p.Stale != "":
			one.Says = p.Stale
		case p.Date.IsZero():
			one.Says = "no calibration of the " + p.Name + " is kept: what the bench file says counts"
		case p.Overdue != "":
			one.Says = p.Overdue
		default:
			one = Finding{OK, about, fmt.Sprintf("the %s was calibrated on %s", p.Name, p.Date.Format(time.DateOnly)), ""}
		}
		all = append(all, one)
	}
	if f.Book.Err != nil {
		all = append(all, Finding{Look, about, "no calibration can be kept: " + f.Book.Err.Error(), "give the book to the user who runs joulewell, or name another with calibration_book in the bench file"})
	}
	return all
}

func web(w *Web) Finding {
	const about = "web address"
	switch {
	case w.Err != nil && w.Ours:
		return Finding{Look, about, "a joulewell serves on " + w.Address + " already", "nothing, if that is meant; give a second one another --listen"}
	case w.Err != nil && errors.Is(w.Err, syscall.EADDRINUSE):
		return Finding{Wrong, about, w.Address + " is taken by another program", "choose another with --listen; 127.0.0.1:0 takes any free port"}
	case w.Err != nil:
		return Finding{Wrong, about, fmt.Sprintf("%s: %v", w.Address, bare(w.Err)), "choose an address of this machine with --listen"}
	case w.Beyond:
		return Finding{Look, about, w.Address + " is free, and other machines can reach it", "keep the bench key to those who may start runs; --tls-cert and --tls-key encrypt the line"}
	}
	return Finding{OK, about, w.Address + " is free, for this machine alone", ""}
}

// bare strips the address that net's errors repeat.
func bare(err error) error {
	if op, ok := errors.AsType[*net.OpError](err); ok {
		return op.Err
	}
	return err
}

// split parts a refusal at its last colon: what to do stands behind it.
func split(err error) (says, do string) {
	text := err.Error()
	if i := strings.LastIndex(text, ": "); i > 0 {
		return text[:i], text[i+2:]
	}
	return text, ""
}
