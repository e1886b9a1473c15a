package energy

// Well samples the potential energy [J] over the heights [m] that the bob can take:
// from the floor to where the spring is unstretched, at n points, n at least 2.
func (m *Model) Well(n int) (heights, potential []float64) {
	top := m.apparatus.Height(0)
	heights, potential = make([]float64, n), make([]float64, n)
	for i := range n {
		heights[i] = top * float64(i) / float64(n-1)
		potential[i] = m.Potential(heights[i])
	}
	return heights, potential
}
