package figure

// thin returns which of n points to draw, in order, at most so many: the first, the last,
// and the lowest and highest of each stretch between, so that no peak goes missing.
func thin(n, most int, y func(i int) float64) []int {
	kept := make([]int, 0, min(n, most))
	if n <= most {
		for i := range n {
			kept = append(kept, i)
		}
		return kept
	}
	kept = append(kept, 0)
	stretches := (most - 2) / 2
	for s := range stretches {
		from, to := 1+s*(n-2)/stretches, 1+(s+1)*(n-2)/stretches
		low, high := from, from
		for i := from; i < to; i++ {
			if y(i) < y(low) {
				low = i
			}
			if y(i) > y(high) {
				high = i
			}
		}
		switch {
		case low < high:
			kept = append(kept, low, high)
		case low > high:
			kept = append(kept, high, low)
		default:
			kept = append(kept, low)
		}
	}
	return append(kept, n-1)
}
