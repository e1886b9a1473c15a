package loss

// alike returns the variance of sum of z_i e_i, where the e_i have unit variance,
// hold at the rising times t [s], and are alike over memory [s]:
//
//	corr(e_i, e_j) = max(0, 1 - |t_i - t_j|/memory)
//
// This triangle has the same area as the correlation of any filter that averages
// white noise over the time memory. Memory 0 means that nothing is known: errors are
// then taken as fully alike, var = (sum z)^2. Cost is linear in the number of terms.
func alike(t, z []float64, memory float64) float64 {
	if memory == 0 {
		var sum float64
		for _, c := range z {
			sum += c
		}
		return sum * sum
	}
	var variance, near, moment float64 // near = sum z_j, moment = sum z_j (t_j - t_0), over the terms within memory before i
	first := 0
	for i, c := range z {
		for first < i && t[first] <= t[i]-memory {
			near -= z[first]
			moment -= z[first] * (t[first] - t[0])
			first++
		}
		variance += c*c + 2*c*(near-((t[i]-t[0])*near-moment)/memory)
		near += c
		moment += c * (t[i] - t[0])
	}
	return max(variance, 0)
}
