package setup

import (
	"time"

	"joulewell/calib"
	"joulewell/energy"
)

// keys are the keys of bench.toml. Every quantity carries its unit in its key and,
// where it is measured, a standard uncertainty beside it (_u_). An absent key leaves
// the value that was there: see [Load].
type keys struct {
	Bench       *string `toml:"bench"`
	SpringLabel *string `toml:"spring_label"`
	BobLabel    *string `toml:"bob_label"`

	BobMassG     *float64 `toml:"bob_mass_g"`
	BobMassUG    *float64 `toml:"bob_mass_u_g"`
	BobLengthMm  *float64 `toml:"bob_length_mm"`
	BobLengthUMm *float64 `toml:"bob_length_u_mm"`
	SpringMassG  *float64 `toml:"spring_mass_g"`
	SpringMassUG *float64 `toml:"spring_mass_u_g"`
	NaturalMm    *float64 `toml:"spring_natural_length_mm"`
	NaturalUMm   *float64 `toml:"spring_natural_length_u_mm"`
	RateNm       *float64 `toml:"spring_rate_N_m"`
	RateUNm      *float64 `toml:"spring_rate_u_N_m"`
	TensionN     *float64 `toml:"spring_initial_tension_N"`
	TensionUN    *float64 `toml:"spring_initial_tension_u_N"`
	RateTension  *float64 `toml:"spring_rate_tension_correlation"`
	SafeMm       *float64 `toml:"spring_safe_extension_mm"`

	// A spring that no straight line describes: loads hung on it, and the extensions
	// they gave. Rate and initial tension are then those of the line nearest to it.
	CurveMm []float64 `toml:"spring_curve_mm"`
	CurveN  []float64 `toml:"spring_curve_N"`

	SupportMm       *float64 `toml:"support_height_mm"`
	SupportUMm      *float64 `toml:"support_height_u_mm"`
	GravityMs2      *float64 `toml:"gravity_m_s2"`
	GravityUMs2     *float64 `toml:"gravity_u_m_s2"`
	AirC            *float64 `toml:"air_C"`
	AirUC           *float64 `toml:"air_u_C"`
	Mounting        *string  `toml:"distance_mounting"`
	Scale           *float64 `toml:"distance_scale"`
	ScaleU          *float64 `toml:"distance_scale_u"`
	OffsetMm        *float64 `toml:"distance_offset_mm"`
	OffsetUMm       *float64 `toml:"distance_offset_u_mm"`
	PivotMm         *float64 `toml:"distance_pivot_mm"`
	DistanceNoiseMm *float64 `toml:"distance_noise_mm"`
	DistanceDelayMs *float64 `toml:"distance_delay_ms"`
	DistanceDelayU  *float64 `toml:"distance_delay_u_ms"`
	DistanceMinMm   *float64 `toml:"distance_min_mm"`
	DistanceMaxMm   *float64 `toml:"distance_max_mm"`
	ForceZero       *float64 `toml:"force_zero_counts"`
	ForceZeroU      *float64 `toml:"force_zero_u_counts"`
	ForceSpan       *float64 `toml:"force_span_N_per_count"`
	ForceSpanU      *float64 `toml:"force_span_u_N_per_count"`
	ForceBend       *float64 `toml:"force_bend_N_per_count2"`
	ForceBendU      *float64 `toml:"force_bend_u_N_per_count2"`
	SpanBend        *float64 `toml:"force_span_bend_correlation"`
	ForceNoiseN     *float64 `toml:"force_noise_N"`
	ForceDelayMs    *float64 `toml:"force_delay_ms"`
	ForceDelayUMs   *float64 `toml:"force_delay_u_ms"`
	ForceMaxN       *float64 `toml:"force_maximum_N"`
	LagMs           *float64 `toml:"motion_lag_ms"`
	Degree          *int     `toml:"motion_degree"`

	Port            *string  `toml:"port"`
	Baud            *int     `toml:"baud"`
	Fields          []string `toml:"fields"`
	RequireChecksum *bool    `toml:"require_checksum"`

	Listen      *string `toml:"listen"`
	Data        *string `toml:"data"`
	Calibration *string `toml:"calibration_book"`
	CheckMasses *string `toml:"check_masses"`

	DistanceSince *time.Time `toml:"distance_sensor_since"`
	ForceSince    *time.Time `toml:"force_sensor_since"`
	SpringSince   *time.Time `toml:"spring_since"`
}

// quantity couples a key with the place its number goes to, times a factor.
type quantity struct {
	key    string
	from   *float64
	to     *float64
	factor float64
}

// quantities lists every number of k with its place in c. The unit factors stand
// here and nowhere else.
func (k *keys) quantities(c *File) []quantity {
	const gram, milli, one = 1e-3, 1e-3, 1
	a, s := &c.Bench.Apparatus, &c.Bench.Calibration
	d, f := &s.Distance, &s.Force
	return []quantity{
		{"bob_mass_g", k.BobMassG, &a.Bob.Mass.Value, gram},
		{"bob_mass_u_g", k.BobMassUG, &a.Bob.Mass.U, gram},
		{"bob_length_mm", k.BobLengthMm, &a.Bob.Length.Value, milli},
		{"bob_length_u_mm", k.BobLengthUMm, &a.Bob.Length.U, milli},
		{"spring_mass_g", k.SpringMassG, &a.Spring.Mass.Value, gram},
		{"spring_mass_u_g", k.SpringMassUG, &a.Spring.Mass.U, gram},
		{"spring_natural_length_mm", k.NaturalMm, &a.Spring.NaturalLength.Value, milli},
		{"spring_natural_length_u_mm", k.NaturalUMm, &a.Spring.NaturalLength.U, milli},
		{"spring_rate_N_m", k.RateNm, &a.Spring.Rate.Value, one},
		{"spring_rate_u_N_m", k.RateUNm, &a.Spring.Rate.U, one},
		{"spring_initial_tension_N", k.TensionN, &a.Spring.InitialTension.Value, one},
		{"spring_initial_tension_u_N", k.TensionUN, &a.Spring.InitialTension.U, one},
		{"spring_rate_tension_correlation", k.RateTension, &a.Spring.RateTension, one},
		{"spring_safe_extension_mm", k.SafeMm, &a.Spring.SafeExtension, milli},
		{"support_height_mm", k.SupportMm, &a.Support.Value, milli},
		{"support_height_u_mm", k.SupportUMm, &a.Support.U, milli},
		{"gravity_m_s2", k.GravityMs2, &a.Gravity.Value, one},
		{"gravity_u_m_s2", k.GravityUMs2, &a.Gravity.U, one},
		{"air_C", k.AirC, &s.Air.Temperature.Value, one},
		{"air_u_C", k.AirUC, &s.Air.Temperature.U, one},
		{"distance_scale", k.Scale, &d.Scale.Value, one},
		{"distance_scale_u", k.ScaleU, &d.Scale.U, one},
		{"distance_offset_mm", k.OffsetMm, &d.Offset.Value, milli},
		{"distance_offset_u_mm", k.OffsetUMm, &d.Offset.U, milli},
		{"distance_pivot_mm", k.PivotMm, &d.Pivot, milli},
		{"distance_noise_mm", k.DistanceNoiseMm, &d.Noise, milli},
		{"distance_delay_ms", k.DistanceDelayMs, &d.Delay.Value, milli},
		{"distance_delay_u_ms", k.DistanceDelayU, &d.Delay.U, milli},
		{"distance_min_mm", k.DistanceMinMm, &d.Min, milli},
		{"distance_max_mm", k.DistanceMaxMm, &d.Max, milli},
		{"force_zero_counts", k.ForceZero, &f.Zero.Value, one},
		{"force_zero_u_counts", k.ForceZeroU, &f.Zero.U, one},
		{"force_span_N_per_count", k.ForceSpan, &f.Span.Value, one},
		{"force_span_u_N_per_count", k.ForceSpanU, &f.Span.U, one},
		{"force_bend_N_per_count2", k.ForceBend, &f.Bend.Value, one},
		{"force_bend_u_N_per_count2", k.ForceBendU, &f.Bend.U, one},
		{"force_span_bend_correlation", k.SpanBend, &f.SpanBend, one},
		{"force_noise_N", k.ForceNoiseN, &f.Noise, one},
		{"force_delay_ms", k.ForceDelayMs, &f.Delay.Value, milli},
		{"force_delay_u_ms", k.ForceDelayUMs, &f.Delay.U, milli},
		{"force_maximum_N", k.ForceMaxN, &f.Max, one},
	}
}

// words copies what is not a number.
func (k *keys) words(c *File) {
	set(&c.Bench.Name, k.Bench)
	set(&c.Bench.SpringLabel, k.SpringLabel)
	set(&c.Bench.BobLabel, k.BobLabel)
	if k.Mounting != nil {
		c.Bench.Calibration.Distance.Mounting = calib.Mounting(*k.Mounting)
	}
	if k.LagMs != nil {
		c.Bench.Motion.Lag = time.Duration(*k.LagMs * float64(time.Millisecond))
	}
	set(&c.Bench.Motion.Degree, k.Degree)
	set(&c.Device.Port, k.Port)
	set(&c.Device.Baud, k.Baud)
	if k.Fields != nil {
		c.Device.Fields = k.Fields
	}
	set(&c.Device.RequireChecksum, k.RequireChecksum)
	set(&c.Listen, k.Listen)
	set(&c.Data, k.Data)
	set(&c.Calibration, k.Calibration)
	set(&c.CheckMasses, k.CheckMasses)
	set(&c.Since.Distance, k.DistanceSince)
	set(&c.Since.Force, k.ForceSince)
	set(&c.Since.Spring, k.SpringSince)
}

// curve takes the spring's curve, if there is one.
func (k *keys) curve(c *File) error {
	if k.CurveMm == nil && k.CurveN == nil {
		return nil
	}
	const milli = 1e-3
	extensions := make([]float64, len(k.CurveMm))
	for i, x := range k.CurveMm {
		extensions[i] = x * milli
	}
	a := &c.Bench.Apparatus
	var err error
	a.Spring.Departure, err = energy.NewDeparture(&a.Spring, a.Gravity.Value, extensions, k.CurveN)
	return err
}

func set[T any](to *T, from *T) {
	if from != nil {
		*to = *from
	}
}

// measured names the quantities that no bench file may leave out: there is no honest
// default for what hangs on somebody's bench.
var measured = []string{
	"bob_mass_g", "bob_length_mm", "spring_mass_g", "spring_natural_length_mm",
	"spring_rate_N_m", "support_height_mm",
}

// Blank is what a bench file is laid over: general facts, nothing of any one bench.
func Blank() File {
	return File{
		Bench: Bench{
			Name: "bench",
			Apparatus: energy.Apparatus{
				// Standard gravity (third CGPM, 1901) stands in for the local value, with an
				// uncertainty that covers the ground from the equator to the poles.
				Gravity: energy.Estimate{Value: 9.80665, U: 0.015},
			},
			Calibration: calib.Calibration{
				Distance: calib.Distance{
					Mounting: calib.Floor, Scale: energy.Estimate{Value: 1, U: 0.003},
					Offset: energy.Estimate{Value: 0, U: 0.002}, Noise: 0.002, Min: 0.02, Max: 4,
				},
				Force: calib.Force{
					Span: energy.Estimate{Value: 1}, Noise: 0.005,
					Delay: energy.Estimate{Value: 0.025, U: 0.003},
				},
				Air: calib.Air{Temperature: energy.Estimate{Value: 20, U: 3}},
			},
			Motion: Motion{Lag: 60 * time.Millisecond, Degree: 3},
		},
		Device: Device{Port: "auto", Baud: 115200, RequireChecksum: true},
		Listen: "127.0.0.1:8420",
		Data:   "runs",
	}
}
