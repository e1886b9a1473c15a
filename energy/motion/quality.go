package motion

// Quality says how an answer was got.
type Quality struct {
	Points  int  // [1] used in the fit
	LeftOut int  // [1] points nearest by left out as impossible motion
	Outlier bool // the point at the very instant asked for is among those left out
	Degree  int  // [1] of the polynomial used

	Span       float64 // [s] from the first to the last point used
	Scatter    float64 // [m] standard deviation of the points about the fit; NaN without an answer
	Covariance float64 // [m2/s] of position and velocity, same basis as their uncertainties; NaN without an answer

	// VelocityNoise is the standard deviation of the velocity [m/s] that the stated
	// noise alone would give. Its square is by how much noise raises the mean of the
	// squared velocity; the uncertainty of the velocity is larger where the residuals
	// show more scatter than was stated, and would overdo that correction. Live, noise
	// that happens to look like motion shortens the window: of a bob at rest the mean is
	// higher still, by up to a half.
	VelocityNoise float64 // [m/s] NaN without an answer

	// VelocityBias is the part of the velocity's uncertainty that stands for a motion
	// too quick for the polynomial. Live it is what the same choice did to velocities of
	// the last second, as hindsight tells; else what a polynomial of the next degree would
	// change beyond noise. Of a bob at rest it is what noise may hide.
	VelocityBias float64 // [m/s] NaN without an answer
}
