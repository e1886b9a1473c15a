package webui_test

import (
	"encoding/json"
	"math"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq/virtual"
)

// stage is a daemon whose pages are real and whose live messages a test writes: what it
// says is under the test's thumb, to the digit.
type stage struct {
	address string

	mu       sync.Mutex
	greeting []string // what every viewer is told first
	standing string   // what all are told once a second
	viewers  []*websocket.Conn
}

// openStage sets a stage before a demo, which serves all but /live.
func openStage(t testing.TB) *stage {
	t.Helper()
	d := startDemo(t, "127.0.0.1:0", t.TempDir(), virtual.Default())
	behind := &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) {
		r.SetURL(&url.URL{Scheme: "http", Host: d.address})
		r.Out.Host = d.address // it serves no other name
	}}
	s := &stage{}
	upgrader := websocket.Upgrader{}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/live" {
			behind.ServeHTTP(w, r)
			return
		}
		c, err := upgrader.Upgrade(w, r, nil)
		if err != nil {
			return
		}
		s.join(c)
		for { // acknowledgements
			if _, _, err := c.ReadMessage(); err != nil {
				s.leave(c)
				return
			}
		}
	}))
	ended := make(chan struct{})
	var talking sync.WaitGroup
	talking.Go(func() {
		for second := time.NewTicker(time.Second); ; {
			select {
			case <-ended:
				second.Stop()
				return
			case <-second.C:
				s.mu.Lock()
				standing := s.standing
				s.mu.Unlock()
				s.say(standing)
			}
		}
	})
	t.Cleanup(func() {
		close(ended)
		talking.Wait()
		s.cut()
		server.Close()
	})
	s.address = strings.TrimPrefix(server.URL, "http://")
	s.greet(stageHello("a stage"), stageStatus())
	return s
}

// greet sets what viewers who come from now on are told first: hello, how things stand,
// and more. How things stand is told again once a second.
func (s *stage) greet(hello, status message, more ...message) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.standing = text(status)
	s.greeting = []string{text(hello), s.standing}
	for _, m := range more {
		s.greeting = append(s.greeting, text(m))
	}
}

// say tells all viewers; a string goes out as it is.
func (s *stage) say(message any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, c := range s.viewers {
		c.WriteMessage(websocket.TextMessage, []byte(text(message))) // who is gone is cut off by its reader
	}
}

// seal tells all, and whoever comes, that results are sealed or open.
func (s *stage) seal(on bool) {
	s.mu.Lock()
	s.standing = text(stageStatusSealed(on))
	s.greeting = []string{s.greeting[0], s.standing}
	s.mu.Unlock()
	s.say(s.standing)
}

// cut ends all lines.
func (s *stage) cut() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, c := range s.viewers {
		c.Close()
	}
}

func (s *stage) join(c *websocket.Conn) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.greeting {
		c.WriteMessage(websocket.TextMessage, []byte(m))
	}
	s.viewers = append(s.viewers, c)
}

func (s *stage) leave(c *websocket.Conn) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.viewers = slices.DeleteFunc(s.viewers, func(v *websocket.Conn) bool { return v == c })
	c.Close()
}

func text(message any) string {
	if s, ok := message.(string); ok {
		return s
	}
	data, err := json.Marshal(message)
	if err != nil {
		panic(err)
	}
	return string(data)
}

type message = map[string]any

// The bob of the stage: 250 g on a light spring of 25 N/m that is unstretched at 0.818 m,
// let go 80 mm above where it hangs at rest.
const (
	stageRate, stageWeight, stageTop = 25, 0.25 * 9.81, 0.818
	stageRest                        = stageTop - stageWeight/stageRate
	stageAmplitude                   = 0.08
)

func stageHello(session string) message {
	var heights, potentials []float64
	for h := 0.5; h < stageTop; h += 0.01 {
		x := stageTop - h
		heights, potentials = append(heights, h), append(potentials, stageRate*x*x/2+stageWeight*h)
	}
	week := time.Now().AddDate(0, 0, -7)
	return message{
		"v": 1, "type": "hello", "bench": "Tamar", "virtual": true, "source": "stage", "session": session, "lag_s": 0.06,
		"apparatus": message{
			"spring": message{"mass_kg": message{"value": 0}}, "bob": message{"mass_kg": message{"value": 0.25}},
			"gravity_m_s2": message{"value": 9.81},
		},
		"calibrations": []message{{"kind": "force", "date": week, "caution": ""}, {"kind": "distance", "date": week, "caution": ""}},
		"well":         message{"height_m": heights, "potential_J": potentials},
	}
}

func stageStatus() message { return stageStatusSealed(false) }

func stageStatusSealed(sealed bool) message {
	return message{
		"trials": message{"armed": true, "state": "waiting", "sealed": sealed, "revision": 1},
		"v":      1, "type": "status", "virtual": true, "link": "live", "link_detail": "", "rate_per_s": 100, "fresh": true, "viewers": 1,
		"lines": message{"accepted": 1200, "refused": message{}}, "clock": message{"known": true, "ppm": 28, "u_ppm": 3},
		"run": message{"active": false, "name": "", "rows": 0, "lost": 0, "length_s": 0, "trouble": ""},
	}
}

// stageFrames are the readings from one second to another, a hundred a second: the bob is
// held for two seconds and then swings, losing energy as it goes.
func stageFrames(from, to float64) message { return stageFramesSealed(from, to, false) }

func stageFramesSealed(from, to float64, sealed bool) message {
	columns := map[string][]float64{}
	for n := math.Ceil(from*100 - 1e-9); n < to*100-1e-9; n++ {
		t := n / 100
		swung := max(0, t-2)
		a, phase := stageAmplitude*math.Exp(-swung/60), math.Sqrt(stageRate/0.25)*swung
		h := stageRest + a*math.Cos(phase)
		x := stageTop - h
		kinetic := stageRate / 2 * math.Pow(a*math.Sin(phase), 2)
		elastic, gravitational := stageRate*x*x/2, stageWeight*h
		for name, v := range map[string]float64{
			"t_s": t, "height_m": h, "extension_m": x, "force_N": stageRate * x, "velocity_m_s": 0,
			"kinetic_J": kinetic, "elastic_J": elastic, "gravitational_J": gravitational, "total_J": kinetic + elastic + gravitational,
			"u_kinetic_J": 0.003, "u_elastic_J": 0.004, "u_gravitational_J": 0.003, "u_total_J": 0.004,
		} {
			columns[name] = append(columns[name], v)
		}
	}
	m := message{"v": 1, "type": "frames", "seq": 1, "lost": 0, "n": len(columns["t_s"])}
	for name, c := range columns {
		m[name] = c
		if sealed && strings.HasSuffix(name, "_J") {
			m[name] = make([]any, len(c))
		}
	}
	return m
}
