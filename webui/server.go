package webui

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log"
	"log/slog"
	"net"
	"net/http"
	"os"
	"sync"
	"time"

	"joulewell/daq"
	"joulewell/daq/runfile"
	"joulewell/daq/series"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/trials/collect"
	"joulewell/daq/upkeep"
	"joulewell/webui/live"
)

// Bench is what the server needs of a [daq.Bench].
type Bench interface {
	Status() *daq.Status
	Setup() *setup.Bench
	Listen(daq.Listener) (stop func())
	StartRun(note string) (daq.Recording, error)
	StopRun() (daq.Recording, error)
	Runs() ([]runfile.Info, error)
	OpenRun(name string) (io.ReadSeekCloser, runfile.Info, error) // unknown: fs.ErrNotExist
	RunMetadata(name string) ([]byte, error)                      // unknown: fs.ErrNotExist
	Folder() *os.Root                                             // of the run files; nil = nothing is recorded
	Adopt(*setup.Bench) error
}

// Options are what a server is made of.
type Options struct {
	Bench   Bench
	Version string // of the program
	// Well returns heights [m] and the potential energy [J] of bob and spring at
	// rest there; nil = the pages draw no well.
	Well func() (height, potential []float64)
	// Upkeep is where the bench's calibrations are kept; nil = nowhere.
	Upkeep *upkeep.Desk
	// Trials is the series of trials at the bench; nil = none are made here.
	Trials *series.Series
	// Class are the folders of the benches of a class; nil = none were named.
	Class *collect.Benches
	// Listen is the address to listen on, host:port; we may be asked for by that host.
	Listen string
	// ExtraHosts are further names that we may be asked for by, as they stand in a
	// browser's address line, with or without a port.
	ExtraHosts []string
	// Key is the bench key, demanded for changes when listening beyond this machine;
	// empty = a random one.
	Key string
	// Secure says that the listener given to Serve speaks TLS.
	Secure bool
	Log    *slog.Logger // nil = silent
}

// minKey is the shortest key accepted, for those who choose their own.
const minKey = 16 // [characters]

// The server's limits. They hold for every route.
const (
	headerWithin  = 5 * time.Second
	requestWithin = 15 * time.Second // from the header to the last byte of an answer
	stallWithin   = 30 * time.Second // a download may take long, but not stand still
	idleFor       = 60 * time.Second
	maxHeader     = 16 << 10               // [byte]
	maxBody       = 64 << 10               // [byte]
	stopWithin    = 700 * time.Millisecond // for goodbyes; then connections are cut
	watchEvery    = 50 * time.Millisecond
)

// Server is the web side of one bench.
type Server struct {
	options Options
	session string
	pages   *pages
	hub     *live.Hub
	pulse   pulse
	press   *press
	looking sync.Mutex    // held while the folders of a class are read
	guard   *guard        // set by Serve, which knows the address
	grace   time.Duration // stopWithin, save in tests
}

// New returns a server, or the refusal of what in its options cannot be.
func New(o Options) (*Server, error) {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	switch {
	case o.Key == "":
		o.Key = rand.Text() // 128 bits
	case len(o.Key) < minKey:
		return nil, fmt.Errorf("set up the web server: bench key has %d characters: at least %d are needed", len(o.Key), minKey)
	}
	files, err := loadPages()
	if err != nil {
		return nil, err
	}
	s := &Server{options: o, session: rand.Text(), pages: files, press: newPress(), grace: stopWithin}
	s.hub = live.NewHub(live.Options{
		Session: s.session,
		Well:    o.Well,
		Status:  o.Bench.Status,
		Allowed: func(r *http.Request) bool { return s.guard.ownPage(r) },
		Refuse:  refuse,
		Log:     o.Log,

		Calibrations: s.calibrations,
		Trials:       s.brief,
	})
	return s, nil
}

// Key returns the bench key, or "" when only this machine can reach Options.Listen and
// none is asked for.
func (s *Server) Key() string {
	host, _, err := net.SplitHostPort(s.options.Listen)
	if ip := net.ParseIP(host); err == nil && (host == "localhost" || ip != nil && ip.IsLoopback()) {
		return ""
	}
	return s.options.Key
}

// Serve answers requests on l until ctx ends, then closes every connection and
// returns within a second. It may be called once.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	guard, err := newGuard(&s.options, l.Addr())
	if err != nil {
		l.Close()
		return err
	}
	s.guard = guard
	server := newServer(guard.wrap(s.handler()), log.New(impersonal{s.options.Log}, "", 0))
	server.ConnState = newCrowd().note
	s.look() // before the first request asks whether the bench is alive
	stopListening := s.options.Bench.Listen(s.publish)
	watching, stopWatching := context.WithCancel(context.Background())
	var others sync.WaitGroup
	others.Go(func() { s.watch(watching) })
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()

	select {
	case <-ctx.Done():
	case err = <-ended:
		err = fmt.Errorf("serve on %s: %w", l.Addr(), err)
	}
	stopListening()
	stopWatching()
	others.Go(func() { s.hub.Close(s.grace) })
	closing, cancel := context.WithTimeout(context.Background(), s.grace)
	defer cancel()
	if server.Shutdown(closing) != nil {
		server.Close()
	}
	others.Wait()
	if err == nil {
		if e := <-ended; !errors.Is(e, http.ErrServerClosed) {
			err = e
		}
	}
	return err
}

// brief tells how the trials stand.
func (s *Server) brief() series.Brief {
	if s.options.Trials == nil {
		return series.Brief{State: trials.Waiting}
	}
	return s.options.Trials.Brief()
}

// publish hands a batch to all who listen.
func (s *Server) publish(b daq.Batch) {
	s.hub.Publish(b)
	if d := s.options.Upkeep; d != nil {
		d.Hear(b.Frames)
	}
}

// newServer sets the limits that net/http leaves open.
func newServer(h http.Handler, errors *log.Logger) *http.Server {
	return &http.Server{
		Handler:           h,
		ReadHeaderTimeout: headerWithin,
		IdleTimeout:       idleFor,
		MaxHeaderBytes:    maxHeader,
		ErrorLog:          errors,
	}
}

// watch follows the bench's status until ctx ends.
func (s *Server) watch(ctx context.Context) {
	ticker := time.NewTicker(watchEvery)
	defer ticker.Stop()
	for {
		select {
		case <-ticker.C:
			s.look()
		case <-ctx.Done():
			return
		}
	}
}

// look passes the bench's status on to those who watch and to /healthz.
func (s *Server) look() {
	st, now := s.options.Bench.Status(), time.Now()
	s.pulse.see(st.Now, now)
	s.hub.Tell(st, now)
}
