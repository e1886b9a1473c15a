package webui

import (
	"errors"
	"io"
	"io/fs"
	"mime"
	"net/http"
	"net/url"
	"strings"
	"time"

	"joulewell/daq"
	"joulewell/daq/runfile"
)

// A run's files are offered under their names in one folder, /api/runs/, because the
// table description names its CSV by a relative URL.
const (
	csvSuffix      = ".csv"
	metadataSuffix = ".csv-metadata.json"
)

// runs answers with the index, the newest first. File names in it are relative to
// /api/runs/.
func (s *Server) runs(w http.ResponseWriter, _ *http.Request) {
	infos, err := s.options.Bench.Runs()
	if err != nil {
		refuseRun(w, err)
		return
	}
	if infos == nil {
		infos = []runfile.Info{} // an empty list, not null
	}
	writeJSON(w, http.StatusOK, map[string]any{"runs": infos})
}

// run answers with a run's CSV, or with its table description when that is asked for.
func (s *Server) run(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	if run, ok := strings.CutSuffix(name, metadataSuffix); ok {
		s.sendMetadata(w, run)
		return
	}
	file, info, err := s.options.Bench.OpenRun(strings.TrimSuffix(name, csvSuffix))
	if err != nil {
		refuseRun(w, err)
		return
	}
	defer file.Close()
	h := w.Header()
	h.Set("Content-Type", "text/csv; charset=utf-8; header=present")
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": info.File}))
	if info.MetaFile != "" {
		h.Set("Link", "</api/runs/"+url.PathEscape(info.MetaFile)+`>; rel="describedby"; type="application/csvm+json"`)
	}
	h.Set("Cache-Control", "no-cache")
	http.ServeContent(w, r, "", info.Created, &steady{file, http.NewResponseController(w)})
}

func (s *Server) runMetadata(w http.ResponseWriter, r *http.Request) {
	s.sendMetadata(w, strings.TrimSuffix(r.PathValue("name"), csvSuffix))
}

func (s *Server) sendMetadata(w http.ResponseWriter, run string) {
	document, err := s.options.Bench.RunMetadata(run)
	if err != nil {
		refuseRun(w, err)
		return
	}
	w.Header().Set("Content-Type", "application/csvm+json")
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(document)
}

func refuseRun(w http.ResponseWriter, err error) {
	status := http.StatusInternalServerError
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, daq.ErrNoFolder) {
		status = http.StatusNotFound
	}
	refuse(w, status, err.Error())
}

// steady gives a download more time with each piece, so that a long one may take as
// long as it needs and one that stands still is cut.
type steady struct {
	io.ReadSeeker
	response *http.ResponseController
}

func (s *steady) Read(p []byte) (int, error) {
	s.response.SetWriteDeadline(time.Now().Add(stallWithin))
	return s.ReadSeeker.Read(p)
}
