package webui

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"joulewell/daq"
	"joulewell/daq/runfile"
	"joulewell/daq/upkeep"
	"joulewell/daq/workup"
	"joulewell/webui/paper"
)

// Limits of reports made for a browser. A run beyond them is for the command.
const (
	reportWithin   = 60 * time.Second
	mostReportRows = 3_600_000 // [1] an hour at 1000 a second
)

// press makes reports, one at a time: working a run out takes a core for seconds, and the
// bench goes first.
type press struct {
	turn   chan struct{} // whoever has put something in may work
	within time.Duration // [ns] for one report
	open   func(context.Context, *os.Root, string, workup.Options) (*workup.Run, error)
}

func newPress() *press {
	return &press{turn: make(chan struct{}, 1), within: reportWithin, open: workup.Open}
}

// Refusals of a press.
var (
	errPressBusy = errors.New("another report is being made: ask again in a few seconds")
	errPressSlow = errors.New("the report takes too long: make it on the bench's machine, with joulewell report")
)

// print returns a page. Where its time is over before it is done, the work goes on to its
// end and keeps the turn, so that requests that give up cannot pile work up.
func (p *press) print(ctx context.Context, work func(context.Context) ([]byte, error)) ([]byte, error) {
	select {
	case p.turn <- struct{}{}:
	default:
		return nil, errPressBusy
	}
	type result struct {
		page []byte
		err  error
	}
	done := make(chan result, 1)
	ctx, cancel := context.WithTimeout(ctx, p.within)
	defer cancel()
	go func() {
		page, err := work(ctx)
		<-p.turn // before the answer, for whoever has it may ask again at once
		done <- result{page, err}
	}()
	select {
	case r := <-done:
		return r.page, r.err
	case <-ctx.Done():
		return nil, errPressSlow
	}
}

// report answers with what a run showed, as a page to print or keep.
func (s *Server) report(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimSuffix(r.PathValue("name"), csvSuffix)
	folder := s.options.Bench.Folder()
	if folder == nil {
		refuseRun(w, daq.ErrNoFolder)
		return
	}
	http.NewResponseController(w).SetWriteDeadline(time.Now().Add(s.press.within + requestWithin))
	page, err := s.press.print(r.Context(), func(ctx context.Context) ([]byte, error) { return s.reportOn(ctx, folder, name) })
	if err != nil {
		refuseReport(w, err)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Security-Policy", paperPolicy)
	h.Set("Content-Disposition", mime.FormatMediaType("inline", map[string]string{"filename": name + ".html"}))
	h.Set("Cache-Control", "no-cache")
	w.Write(page)
}

// reportOn makes the page that joulewell report makes where run and book lie at hand.
func (s *Server) reportOn(ctx context.Context, folder *os.Root, name string) ([]byte, error) {
	report := paper.Report{Software: "joulewell " + s.options.Version}
	command := []string{"joulewell", "report"}
	var book upkeep.Book
	if desk := s.options.Upkeep; desk != nil {
		path := desk.File().Calibration
		var err error
		if book, err = upkeep.Load(path); err != nil {
			return nil, err
		}
		if len(book) > 0 {
			report.Book = filepath.Base(path)
			command = append(command, "--book", paper.Quoted(report.Book))
		}
	}
	command = append(command, "--output", paper.Quoted(name+".html"), paper.Quoted(name+csvSuffix))
	report.Command = strings.Join(command, " ")
	run, err := s.press.open(ctx, folder, name, workup.Options{Book: book, MostRows: mostReportRows})
	if err != nil {
		return nil, err
	}
	report.Runs = []*workup.Run{run}
	var page bytes.Buffer
	if err := report.Write(&page); err != nil {
		return nil, err
	}
	return page.Bytes(), nil
}

func refuseReport(w http.ResponseWriter, err error) {
	switch {
	case errors.Is(err, errPressBusy), errors.Is(err, errPressSlow), errors.Is(err, context.DeadlineExceeded), errors.Is(err, context.Canceled):
		w.Header().Set("Retry-After", "5")
		refuse(w, http.StatusServiceUnavailable, err.Error())
	case errors.Is(err, runfile.ErrNoRun), errors.Is(err, fs.ErrNotExist):
		refuse(w, http.StatusNotFound, err.Error())
	case errors.Is(err, workup.ErrLong):
		refuse(w, http.StatusUnprocessableEntity, fmt.Sprintf("%s: here at most %d are worked out: make the report on the bench's machine, with joulewell report", err, mostReportRows))
	default: // the run is not one of which anything can be said
		refuse(w, http.StatusUnprocessableEntity, "there is no report of this run: "+err.Error())
	}
}
