package webui

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"joulewell/daq/series"
	"joulewell/energy/slip"
	"joulewell/energy/worksheet"
	"joulewell/webui/paper"
)

// paperPolicy lets a page to print bring its own styles, and nothing else.
const paperPolicy = paper.Policy + "; frame-ancestors 'none'"

// trialsSheet answers with the worksheet of a trial, or with its key: as a page to print
// or, for the page that offers the choice, as data.
func (s *Server) trialsSheet(x *series.Series, w http.ResponseWriter, r *http.Request) {
	asked, wantsKey, err := parseSheet(r.URL.Query(), x.View().Asked)
	if err != nil {
		refuse(w, http.StatusBadRequest, err.Error())
		return
	}
	if wantsKey && x.Sealed() {
		refuse(w, http.StatusLocked, series.ErrSealed.Error())
		return
	}
	sheet, key, err := x.Worksheet(asked)
	if err != nil {
		answerTrials(w, r, x, err)
		return
	}
	if !wantsKey {
		key = nil
	}
	if r.URL.Query().Get("form") == "json" {
		writeJSON(w, http.StatusOK, struct {
			*worksheet.Sheet
			Key *worksheet.Key `json:"key,omitempty"`
		}{sheet, key})
		return
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Security-Policy", paperPolicy)
	h.Set("Cache-Control", "no-store")
	if err := paper.Worksheet(w, sheet, key); err != nil {
		s.options.Log.Error("write the worksheet", "cause", err)
	}
}

// parseSheet reads which sheet is wanted; what is not said is as the seal has it.
func parseSheet(q url.Values, asked series.Asked) (series.Asked, bool, error) {
	key := false
	for name, values := range q {
		v := values[len(values)-1]
		var err error
		switch name {
		case "run":
			asked.Run = v
		case "index":
			asked.Index, err = strconv.Atoi(v)
		case "print":
			asked.Print = ids(v)
		case "ask":
			asked.Ask = ids(v)
		case "digits":
			asked.Digits, err = strconv.Atoi(v)
		case "key":
			if key = v == "1"; !key && v != "0" {
				err = errors.New("it is 1, for the key, or 0")
			}
		case "form":
			if v != "json" && v != "page" {
				err = errors.New("page and json are known")
			}
		default:
			err = errors.New("run, index, print, ask, digits, key and form are known")
		}
		if err != nil {
			return asked, false, errors.New("query " + name + "=" + v + ": " + err.Error())
		}
	}
	return asked, key, nil
}

// ids reads names parted by commas; none is all.
func ids(names string) (list []worksheet.ID) {
	for n := range strings.SplitSeq(names, ",") {
		if n = strings.TrimSpace(n); n != "" {
			list = append(list, worksheet.ID(n))
		}
	}
	return list
}

// trialsHandIn holds a group's figures against the worksheet.
func (s *Server) trialsHandIn(x *series.Series, w http.ResponseWriter, r *http.Request) {
	var request series.HandIn
	if !readJSON(w, r, &request) {
		return
	}
	report, err := x.HandIn(request)
	var wrong *slip.FigureError
	switch {
	case err == nil:
		writeJSON(w, http.StatusOK, report)
	case errors.As(err, &wrong):
		refuse(w, http.StatusUnprocessableEntity, strings.ReplaceAll(err.Error(), "\n", "; "))
	default:
		answerTrials(w, r, x, err)
	}
}
