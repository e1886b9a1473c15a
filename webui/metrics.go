package webui

import (
	"log/slog"
	"net/http"
	"runtime"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"joulewell/daq"
	"joulewell/daq/series"
	"joulewell/daq/upkeep"
	"joulewell/daq/wire"
	"joulewell/energy"
	"joulewell/webui/live"
)

// scrapesAtOnce bounds what a swarm of scrapers can cost.
const scrapesAtOnce = 8

// metrics returns the handler of /metrics.
func (s *Server) metrics() http.HandlerFunc {
	registry := prometheus.NewRegistry()
	registry.MustRegister(&collector{s.options.Bench.Status, s.hub, s.options.Version, s.options.Upkeep, s.options.Trials})
	return promhttp.HandlerFor(registry, promhttp.HandlerOpts{
		ErrorLog:            slog.NewLogLogger(s.options.Log.Handler(), slog.LevelError),
		ErrorHandling:       promhttp.HTTPErrorOnError,
		MaxRequestsInFlight: scrapesAtOnce,
		EnableOpenMetrics:   true,
	}).ServeHTTP
}

// collector answers a scrape from one status of the bench, so that what is scraped
// belongs together: the total energy is the sum of the three others. What is not
// known at the moment has no sample.
type collector struct {
	status  func() *daq.Status
	hub     *live.Hub
	version string
	desk    *upkeep.Desk   // nil = calibrations are not kept
	series  *series.Series // nil = no trials are made
}

func desc(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc("joulewell_"+name, help, labels, nil)
}

var (
	descEnergy    = desc("energy_joules", "Energy of bob and spring by kind, while readings are fresh.", "kind")
	descHeight    = desc("height_meters", "Height of the bob's lowest point above the floor.")
	descExtension = desc("extension_meters", "Extension of the spring from its natural length, downward.")
	descForce     = desc("force_newtons", "Force at the spring's top.")
	descVelocity  = desc("velocity_meters_per_second", "Velocity of the bob, upward.")
	descReadings  = desc("readings_total", "Lines of the device that became readings.")
	descRefused   = desc("lines_refused_total", "Lines of the device that were refused, by reason.", "reason")
	descMisplaced = desc("readings_misplaced_total", "Readings refused because their time could not be placed.")
	descUp        = desc("device_up", "1 while readings arrive from the device.")
	descOpens     = desc("device_opens_total", "Times that the device was opened.")
	descSkew      = desc("clock_skew_ratio", "Rate of the device's clock over the host's, less one.")
	descAge       = desc("last_frame_age_seconds", "Time since the newest frame came.")
	descRunActive = desc("run_active", "1 while a run is being recorded.")
	descRunRows   = desc("run_rows", "Rows of the run being recorded, or of the last one.")
	descViewers   = desc("viewers", "Websockets connected.")
	descLost      = desc("viewer_readings_lost_total", "Readings that viewers could not be given in time, summed over viewers.")
	descIgnored   = desc("viewer_messages_ignored_total", "Messages of viewers that were not understood.")
	descCalAge    = desc("calibration_age_seconds", "Time since the calibration that counts was made, by kind.", "kind")
	descOverdue   = desc("calibration_overdue", "1 where a calibration should have been made anew, or is about a part since changed, by kind.", "kind")
	descZero      = desc("force_zero_deviation_newtons", "Deviation of the empty load cell at its last check.")
	descSpan      = desc("force_span_deviation_ratio", "Deviation of the load cell under the largest check mass at its last check, less that of its zero, as a share of the load.")
	descHeightOff = desc("height_deviation_meters", "Deviation of the height at the last check by the rule.")
	descRest      = desc("rest_moved_ratio", "How far the bench at rest lies off its level, as a share of what the calibration answers for, by kind.", "kind")
	descSignals   = desc("drift_signals_total", "Records of the idle bench beyond a rule of the control charts, by kind.", "kind")
	descState     = desc("drift_state", "Judgement of the check records by kind: 0 in control, 1 look, 2 recalibrate.", "kind")
	descTrials    = desc("trials", "Trials in the data folder, by outcome: counted, left_out.", "outcome")
	descBuild     = desc("build_info", "Always 1; version of the program and of Go.", "version", "go")
)

// Describe implements [prometheus.Collector].
func (c *collector) Describe(ch chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{
		descEnergy, descHeight, descExtension, descForce, descVelocity, descReadings,
		descRefused, descMisplaced, descUp, descOpens, descSkew, descAge, descRunActive,
		descRunRows, descViewers, descLost, descIgnored, descBuild,
		descCalAge, descOverdue, descZero, descSpan, descHeightOff, descRest, descSignals, descState, descTrials,
	} {
		ch <- d
	}
}

// Collect implements [prometheus.Collector].
func (c *collector) Collect(ch chan<- prometheus.Metric) {
	gauge := func(d *prometheus.Desc, v float64, labels ...string) {
		ch <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v, labels...)
	}
	count := func(d *prometheus.Desc, n uint64, labels ...string) {
		ch <- prometheus.MustNewConstMetric(d, prometheus.CounterValue, float64(n), labels...)
	}
	known := func(d *prometheus.Desc, e energy.Estimate, labels ...string) {
		if e.Known() {
			gauge(d, e.Value, labels...)
		}
	}
	st := c.status()
	if f := &st.Last; st.Fresh {
		trials := series.Brief{}
		if c.series != nil {
			trials = c.series.Brief()
		}
		if !trials.Sealed {
			known(descEnergy, f.Energies.Kinetic, "kinetic")
			known(descEnergy, f.Energies.Elastic, "elastic")
			known(descEnergy, f.Energies.Gravitational, "gravitational")
			known(descEnergy, f.Energies.Total, "total")
		}
		known(descHeight, f.Height)
		if !trials.Extensions {
			known(descExtension, f.Extension)
		}
		known(descForce, f.Force)
		known(descVelocity, f.Velocity)
	}
	count(descReadings, st.Lines.Accepted)
	count(descMisplaced, st.Misplaced)
	for reason, n := range st.Lines.Refused {
		if r := wire.Reason(reason); r != wire.NoReason {
			count(descRefused, n, r.String())
		}
	}
	gauge(descUp, oneIf(st.Link == daq.Live))
	count(descOpens, st.Opens)
	if st.ClockKnown {
		gauge(descSkew, st.ClockPPM*1e-6)
	}
	if age, ok := c.hub.Age(); ok {
		gauge(descAge, age.Seconds())
	}
	gauge(descRunActive, oneIf(st.Run.Active))
	gauge(descRunRows, float64(st.Run.Rows))
	gauge(descViewers, float64(c.hub.Viewers()))
	count(descLost, c.hub.Lost())
	count(descIgnored, c.hub.Ignored())
	gauge(descBuild, 1, c.version, runtime.Version())
	if c.series != nil {
		for outcome, n := range c.series.Tally() {
			gauge(descTrials, float64(n), outcome)
		}
	}
	if c.desk != nil {
		c.collectUpkeep(gauge, count)
	}
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
