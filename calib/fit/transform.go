package fit

// Transform returns the covariance matrix of the results of a formula from that of
// its inputs: JVJ', with J the sensitivity coefficients, one row a result (GUM
// 5.2.2, for several results at once). V must be square with as many rows as J has
// columns.
func Transform(j, v [][]float64) [][]float64 {
	out := square(len(j))
	for a := range j {
		for b := range j {
			out[a][b] = quadratic(j[a], v, j[b])
		}
	}
	return out
}
