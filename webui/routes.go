package webui

import (
	"net/http"
	"strings"
)

// route is one thing that can be asked for.
type route struct {
	method  string // GET answers HEAD too
	path    string // as http.ServeMux reads it
	handler http.HandlerFunc
	key     bool // needs the bench key when listening beyond this machine
}

// routes is everything that the server answers.
func (s *Server) routes() []route {
	return []route{
		{"GET", "/{$}", s.pages.page("show.html"), false},
		{"GET", "/trials", s.pages.page("trials.html"), false},
		{"GET", "/balance", s.pages.page("balance.html"), false},
		{"GET", "/upkeep", s.pages.page("upkeep.html"), false},
		{"GET", "/class", s.pages.page("class.html"), false},
		{"GET", "/assets/{name...}", s.pages.asset, false},
		{"GET", "/live", s.hub.Serve, false},

		{"GET", "/api/status", s.status, false},
		{"GET", "/api/bench", s.bench, false},
		{"GET", "/api/runs", s.runs, false},
		{"GET", "/api/runs/{name}", s.unsealed(s.run), false},
		{"GET", "/api/runs/{name}/metadata", s.unsealed(s.runMetadata), false},
		{"GET", "/api/runs/{name}/report", s.unsealed(s.report), false},
		{"POST", "/api/run/start", s.startRun, true},
		{"POST", "/api/run/stop", s.stopRun, true},
		{"GET", "/api/balance", s.balanceFields, false},
		{"POST", "/api/balance", s.unsealed(s.balance), false},
		{"GET", "/api/trials", s.withTrials(s.trials), false},
		{"GET", "/api/trials.csv", s.unsealed(s.withTrials(s.trialsCSV)), false},
		{"POST", "/api/trials/arm", s.withTrials(s.trialsArm), true},
		{"POST", "/api/trials/disarm", s.withTrials(s.trialsDisarm), true},
		{"POST", "/api/trials/group", s.withTrials(s.trialsGroup), true},
		{"POST", "/api/trials/overrule", s.withTrials(s.trialsOverrule), true},
		{"POST", "/api/trials/seal", s.withTrials(s.trialsSeal), true},
		{"POST", "/api/trials/open", s.withTrials(s.trialsOpen), true},
		{"GET", "/api/trials/sheet", s.withTrials(s.trialsSheet), false},
		{"POST", "/api/trials/hand-in", s.withTrials(s.trialsHandIn), false},
		{"GET", "/api/upkeep", s.withDesk(s.upkeep), false},
		{"POST", "/api/upkeep/begin", s.withDesk(s.upkeepBegin), true},
		{"POST", "/api/upkeep/take", s.withDesk(s.upkeepTake), true},
		{"POST", "/api/upkeep/arrange", s.withDesk(s.upkeepArrange), true},
		{"POST", "/api/upkeep/undo", s.withDesk(s.upkeepUndo), true},
		{"POST", "/api/upkeep/finish", s.withDesk(s.upkeepFinish), true},
		{"GET", "/api/upkeep/checks", s.withDesk(s.checks), false},
		{"POST", "/api/upkeep/check", s.withDesk(s.keepChecks), true},
		{"POST", "/api/upkeep/abandon", s.withDesk(s.upkeepAbandon), true},
		{"GET", "/api/class", s.unsealed(s.withClass(s.class)), false},
		{"GET", "/api/class.csv", s.unsealed(s.withClass(s.classCSV)), false},
		{"POST", "/api/key", s.takeKey, false},
		{"GET", "/key/{key}", s.openWithKey, false},
		{"GET", "/api/openapi.json", s.openAPI, false},

		{"GET", "/metrics", s.metrics(), false},
		{"GET", "/healthz", s.healthz, false},
		{"GET", "/readyz", s.readyz, false},
	}
}

// handler serves the routes. A known path with another method is answered by 405, an
// unknown path by 404.
func (s *Server) handler() http.Handler {
	mux := http.NewServeMux()
	methods := map[string][]string{}
	for _, r := range s.routes() {
		h := r.handler
		if r.key {
			h = s.guard.withKey(h)
		}
		mux.HandleFunc(r.method+" "+r.path, h)
		methods[r.path] = append(methods[r.path], r.method)
	}
	for path, allowed := range methods {
		if allowed[0] == "GET" {
			allowed = append(allowed, "HEAD")
		}
		allow := strings.Join(allowed, ", ")
		mux.HandleFunc(path, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Allow", allow)
			refuse(w, http.StatusMethodNotAllowed, r.Method+" is not possible here: "+allow+" is")
		})
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/api/") {
			refuse(w, http.StatusNotFound, "there is nothing at "+r.URL.Path+": see /api/openapi.json")
			return
		}
		http.NotFound(w, r)
	})
	return mux
}
