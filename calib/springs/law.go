package springs

import "math"

const lawPoints = 20

// curve makes the law of the blocks: in each of 20 stretches the mean of the blocks that
// were stretched and of those let back, each brought to the middle of the stretch along
// the rate; then neighbours that fall are pooled until all rise (isotonic regression).
func curve(blocks []block, low, high, rate, scatter float64) Law {
	type mean struct{ sum, n float64 }
	var up, down [lawPoints]mean
	width := (high - low) / lawPoints
	for _, b := range blocks {
		i := min(lawPoints-1, int((b.x-low)/width))
		at := &up[i]
		if b.course < 0 {
			at = &down[i]
		}
		at.sum += b.load + rate*(low+(float64(i)+0.5)*width-b.x)
		at.n++
	}
	let := 0.0 // back
	for _, d := range down {
		let += d.n
	}
	var l Law
	for i := range up {
		x := low + (float64(i)+0.5)*width
		switch {
		case up[i].n > 0 && down[i].n > 0:
			l.add(x, (up[i].sum/up[i].n+down[i].sum/down[i].n)/2, scatter/2*math.Sqrt(1/up[i].n+1/down[i].n))
		case up[i].n > 0 && let == 0:
			l.add(x, up[i].sum/up[i].n, scatter/math.Sqrt(up[i].n))
		}
	}
	return l.rising()
}

func (l *Law) add(x, load, u float64) {
	l.Extension, l.Load, l.U = append(l.Extension, x), append(l.Load, load), append(l.U, u)
}

// rising pools neighbouring points that do not rise into one at their mean.
func (l Law) rising() Law {
	var out Law
	var members []float64
	for i := range l.Load {
		out.add(l.Extension[i], l.Load[i], l.U[i])
		members = append(members, 1)
		for k := len(members) - 1; k > 0 && out.Load[k] <= out.Load[k-1]; k-- {
			a, b := members[k-1], members[k]
			share := a / (a + b)
			out.Extension[k-1] = share*out.Extension[k-1] + (1-share)*out.Extension[k]
			out.Load[k-1] = share*out.Load[k-1] + (1-share)*out.Load[k]
			out.U[k-1] = math.Hypot(share*out.U[k-1], (1-share)*out.U[k])
			members[k-1] += b
			out.Extension, out.Load, out.U, members = out.Extension[:k], out.Load[:k], out.U[:k], members[:k]
		}
	}
	return out
}
