package fit

// Sensitivities returns the sensitivity coefficients of a formula at the estimates of
// its inputs, by differences over one standard uncertainty to either side,
//
//	c_i = [f(x_i + u_i) - f(x_i - u_i)] / (2 u_i)
//
// (GUM 5.1.3, note 2). Where u_i is zero the step is a millionth of x_i, or a
// millionth. f is handed a slice it must not keep.
func Sensitivities(f func(x []float64) float64, x, u []float64) []float64 {
	moved := append([]float64(nil), x...)
	c := make([]float64, len(x))
	for i := range x {
		step := u[i]
		if step == 0 {
			step = 1e-6
			if x[i] != 0 {
				step *= x[i]
			}
		}
		moved[i] = x[i] + step
		above := f(moved)
		moved[i] = x[i] - step
		c[i] = (above - f(moved)) / (2 * step)
		moved[i] = x[i]
	}
	return c
}
