package webui

import (
	"net/http"

	"joulewell/daq/trials/collect"
	"joulewell/daq/trials/kept"
	stats "joulewell/daq/trials/table"
	"joulewell/daq/trials/tidy"
)

// withClass answers 404 where no folders were named.
func (s *Server) withClass(h func(b []collect.Bench, w http.ResponseWriter)) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		if s.options.Class == nil {
			refuse(w, http.StatusNotFound, "no folders of benches were named: start with joulewell serve --class FOLDER, once for each bench")
			return
		}
		s.looking.Lock() // one at a time reads the folders
		benches := s.options.Class.Look()
		s.looking.Unlock()
		w.Header().Set("Cache-Control", "no-store")
		h(benches, w)
	}
}

// together is what the groups of all benches that are not sealed found.
func together(benches []collect.Bench) stats.Class {
	var all []kept.Kept
	for _, b := range benches {
		all = append(all, b.Kept...)
	}
	return stats.ClassOf(kept.Trials(all))
}

// class answers with the benches and what their groups found.
func (s *Server) class(benches []collect.Bench, w http.ResponseWriter) {
	writeJSON(w, http.StatusOK, struct {
		Benches []collect.Bench `json:"benches"`
		stats.Class
	}{benches, together(benches)})
}

// classCSV answers with one row a group.
func (s *Server) classCSV(benches []collect.Bench, w http.ResponseWriter) {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8; header=present")
	w.Header().Set("Content-Disposition", `attachment; filename=class.csv`)
	all := together(benches)
	if err := tidy.WriteGroups(w, &all); err != nil {
		s.options.Log.Debug("send the table of groups", "cause", err)
	}
}
