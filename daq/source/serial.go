package source

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"
)

// SerialOptions says which port to read and how.
type SerialOptions struct {
	Port  string       // path of a device, "usb:VVVV:PPPP", "usb:VVVV:PPPP:SERIAL" (hexadecimal ids), or "auto"
	Baud  int          // [bit/s] 0 = 115200; always 8 data bits, no parity, 1 stop bit
	Roots Roots        // where /sys, /dev and /proc are; zero = the usual places
	Clock Clock        // arrival times; nil = one that starts now
	Log   *slog.Logger // what is odd but no reason to stop; nil = nowhere
}

// Retries double from firstRetry to lastRetry, so that a device is read again within
// about a second of coming back, and a flapping one is not opened in a tight loop.
const (
	firstRetry = 250 * time.Millisecond
	lastRetry  = time.Second
)

// question makes a device announce its columns at once instead of within 5 s.
const question = "?\n"

// Serial reads a device on a serial port and takes it up again whenever it comes
// back, under whatever name. Each opening counts as a restart of the device: most
// boards do restart, and the host cannot prevent it.
type Serial struct {
	name  portName
	baud  int
	roots Roots
	clock Clock
	log   *slog.Logger
	wait  func(ctx context.Context, d time.Duration) bool // false once ctx has ended
}

// NewSerial checks o. It opens nothing and demands no device: [Serial.Run] waits for it.
func NewSerial(o SerialOptions) (*Serial, error) {
	name, err := parsePortName(o.Port)
	if err != nil {
		return nil, err
	}
	if o.Baud == 0 {
		o.Baud = 115200
	}
	if o.Baud < 0 {
		return nil, fmt.Errorf("use serial port %s: %d bit/s: the bit rate must be positive", o.Port, o.Baud)
	}
	s := &Serial{name: name, baud: o.Baud, roots: o.Roots.orUsual(), clock: o.Clock, log: o.Log, wait: pause}
	if s.clock == nil {
		s.clock = NewClock()
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	return s, nil
}

// Describe implements [Source].
func (s *Serial) Describe() string { return "serial port " + s.name.text }

// Virtual implements [Source]: what is at the far end of a wire is taken for real,
// unless it says otherwise itself.
func (s *Serial) Virtual() bool { return false }

// Run implements [Source]. It returns within about 0.1 s of ctx's end.
func (s *Serial) Run(ctx context.Context, emit func(Event) bool) {
	told, retry := "", firstRetry
	for ctx.Err() == nil {
		heard, err := s.once(ctx, emit, &told)
		if err == nil {
			return
		}
		if text := err.Error(); text != told {
			told = text
			if !emit(Event{Kind: Lost, At: s.clock(), Err: err}) {
				return
			}
		}
		if heard {
			retry = firstRetry
		}
		if !s.wait(ctx, retry) {
			return
		}
		retry = min(2*retry, lastRetry)
	}
}

// once finds the device, opens it and reads it until it goes away (an error) or ctx
// ends (nil). heard reports that it sent something. told is forgotten as soon as the
// device is open: the next loss is news even if it has the same cause.
func (s *Serial) once(ctx context.Context, emit func(Event) bool, told *string) (heard bool, err error) {
	path, err := s.name.find(s.roots)
	if err != nil {
		return false, err
	}
	p, node, err := openPort(path, s.baud, s.roots.Proc)
	if err != nil {
		return false, err
	}
	*told = ""
	for _, other := range openers(s.roots.Proc, node) {
		s.log.Warn("another program has the port open too and will take a part of the bytes: stop it",
			"port", node, "program", other)
	}
	heard, err = s.read(ctx, p, node, emit)
	if closing := p.Close(); closing != nil {
		s.log.Warn("close serial port", "port", node, "err", closing)
	}
	return heard, err
}

// read is the one place that touches an open port.
func (s *Serial) read(ctx context.Context, p port, node string, emit func(Event) bool) (heard bool, err error) {
	if !emit(Event{Kind: Opened, At: s.clock(), Name: node}) {
		return false, nil
	}
	if _, err := p.Write([]byte(question)); err != nil && !errors.Is(err, errIdle) {
		return false, hungUp(node, err)
	}
	buf := make([]byte, 4096)
	for ctx.Err() == nil {
		n, err := p.Read(buf)
		if n > 0 {
			heard = true
			if !emit(Event{Kind: Bytes, At: s.clock(), Bytes: buf[:n]}) {
				return heard, nil
			}
		}
		if err != nil && !errors.Is(err, errIdle) {
			return heard, hungUp(node, err)
		}
	}
	return heard, nil
}

// pause waits for d, or until ctx ends; then it returns false.
func pause(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return ctx.Err() == nil
	case <-ctx.Done():
		return false
	}
}
