package doctor

import (
	"context"
	"errors"
	"io/fs"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/upkeep"
)

// Options say what to look at.
type Options struct {
	Path  string     // of the bench file; empty = there is none
	File  setup.File // as it says, or what stands in for it
	Err   error      // why it could not be read
	Roots source.Roots
	Now   func() time.Time
}

// answerWithin is how long a web server that is there already may take to answer.
const answerWithin = time.Second

// Gather looks. Of the bench it changes nothing: a trial file in the data folder is
// removed again, and the address is given back at once.
func Gather(ctx context.Context, o Options) Facts {
	f := Facts{
		File:  File{Path: o.Path, Err: o.Err, Bench: o.File.Bench.Name},
		Port:  Port{Name: o.File.Device.Port},
		Data:  look(o.File.Data),
		Clock: Clock{Now: o.Now(), Unsynced: unsynced()},
		Web:   try(ctx, o.File.Listen),
	}
	f.Port.Inspection, f.Port.Err = source.Inspect(o.File.Device.Port, o.Roots)
	if o.Err == nil && o.Path != "" {
		for line := range strings.Lines(o.File.Summary()) {
			if _, caution, ok := strings.Cut(line, "CAUTION: "); ok {
				f.File.Cautions = append(f.File.Cautions, strings.TrimSpace(caution))
			}
		}
		f.calibrations(&o)
		f.Book = Book{o.File.Calibration, addable(o.File.Calibration)}
	}
	f.newestRun()
	return f
}

func (f *Facts) calibrations(o *Options) {
	desk, err := upkeep.Open(o.File, o.Now)
	if err != nil {
		f.PartsBy = err
		return
	}
	for _, s := range desk.Standing() {
		p := Part{Name: s.Kind.Part(), Stale: s.Stale, Overdue: s.Overdue(f.Clock.Now)}
		if s.Entry != nil {
			p.Date = s.Entry.Date
			f.newer(p.Date, "the calibration of the "+p.Name)
		}
		f.Parts = append(f.Parts, p)
	}
}

// addable returns nil if a book can be added to, or begun where there is none.
func addable(path string) error {
	book, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
	switch {
	case err == nil:
		return book.Close()
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	trial, err := os.CreateTemp(filepath.Dir(path), ".joulewell-trial-")
	if err != nil {
		return err
	}
	return errors.Join(trial.Close(), os.Remove(trial.Name()))
}

// newestRun holds the clock against the runs in the data folder.
func (f *Facts) newestRun() {
	if f.Data.Err != nil {
		return
	}
	root, err := os.OpenRoot(f.Data.Path)
	if err != nil {
		return
	}
	defer root.Close()
	runs, err := runfile.List(root)
	if err == nil && len(runs) > 0 {
		f.newer(runs[0].Created, "run "+runs[0].Name)
	}
}

func (f *Facts) newer(at time.Time, what string) {
	if at.After(f.Clock.Newest) {
		f.Clock.Newest, f.Clock.NewestOf = at, what
	}
}

// look tries whether files can be made in the data folder. One that is not there is not
// made: the folder above it is asked instead.
func look(path string) Data {
	d := Data{Path: path}
	at := path
	for {
		_, err := os.Stat(at)
		if up := filepath.Dir(at); errors.Is(err, fs.ErrNotExist) && up != at {
			at = up
			continue
		}
		break
	}
	trial, err := os.CreateTemp(at, ".joulewell-trial-")
	if err != nil {
		d.Err = err
		return d
	}
	d.Err = errors.Join(trial.Close(), os.Remove(trial.Name()))
	root, err := os.OpenRoot(at)
	if err != nil {
		d.Err = errors.Join(d.Err, err)
		return d
	}
	defer root.Close()
	free, err := runfile.Room(root)
	d.Free, d.Err = free, errors.Join(d.Err, err)
	cut, _ := filepath.Glob(filepath.Join(at, "*.csv.part"))
	d.Cut = len(cut)
	return d
}

// try listens on an address for a moment.
func try(ctx context.Context, address string) Web {
	w := Web{Address: address}
	l, err := net.Listen("tcp", address)
	if err != nil {
		w.Err, w.Ours = err, ours(ctx, address)
		return w
	}
	tcp, ok := l.Addr().(*net.TCPAddr)
	w.Beyond = !ok || !tcp.IP.IsLoopback()
	w.Err = l.Close()
	return w
}

// ours reports whether a joulewell answers at an address of this machine.
func ours(ctx context.Context, address string) bool {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return false
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		address = net.JoinHostPort("127.0.0.1", port)
	}
	ctx, cancel := context.WithTimeout(ctx, answerWithin)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+address+"/metrics", nil)
	if err != nil {
		return false
	}
	client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	answer, err := client.Do(r)
	if err != nil {
		return false
	}
	defer answer.Body.Close()
	start := make([]byte, 4096)
	n, _ := answer.Body.Read(start)
	return strings.Contains(string(start[:n]), "joulewell_")
}
