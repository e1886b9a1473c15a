package motion

import "math"

// judgement is how choices compare with a reference.
type judgement struct {
	gain   float64          // of the reference's slope, 0 where there is none
	square [choices]float64 // [m2/cell2] squared difference
	noise  [choices]float64 // variance of the choice less that of the difference, for points of variance 1
	rss    float64          // [m2] about the reference
	dof    float64
}

// fitAll works out the choices of one length. The Cholesky factor for fewer terms is the corner
// of that for more; so each term adds its share to the row of the slope in the inverse matrix.
func (b *boundary) fitAll(length int, m *sums) {
	var p polynomial
	p.terms = min(mostTerms, int(m.s[0])-2)
	for p.terms >= leastTerms && !p.factorise(&m.s) {
		p.terms--
	}
	half, row := [maxTerms]float64{1: 1}, [maxTerms]float64{}
	p.forward(&half)
	for k := 1; k < p.terms; k++ {
		var share [maxTerms]float64
		share[k] = half[k] * p.factor[k][k]
		for i := k - 1; i >= 0; i-- {
			for j := i + 1; j <= k; j++ {
				share[i] -= p.factor[j][i] * share[j]
			}
			share[i] *= p.factor[i][i]
		}
		slope := 0.0
		for i := range k + 1 {
			row[i] += share[i]
			slope += row[i] * m.xs[i]
		}
		c := (k+1-leastTerms)*lengths + length
		b.row[c], b.gain[c], b.slope[c] = row, row[1], slope
	}
}

// compare judges the choices at b by a reference through the points of m.
func (b *boundary) compare(m *sums) {
	var p polynomial
	terms := maxTerms
	for m.s[0] < float64(terms+2) || !p.fitMoments(&m.moments, terms) {
		if terms--; terms <= leastTerms {
			return
		}
	}
	row := p.slopeRow()
	gain := row[1]
	j := &b.judge
	j.gain, j.rss, j.dof = gain, m.residuals(&p), m.s[0]-float64(terms)
	var seen [shared + 1][mostTerms]float64
	for l := range seen {
		for i := range mostTerms {
			for k := range terms {
				seen[l][i] += (b.cells[l].s[i+k] + b.ahead.s[i+k]) * row[k]
			}
		}
	}
	for c := range choices {
		if b.gain[c] == 0 {
			continue
		}
		d := b.slope[c] - p.coef[1]
		both := 0.0
		for i, v := range seen[min(choice(c).length(), shared)] {
			both += b.row[c][i] * v
		}
		j.square[c], j.noise[c] = d*d, 2*both-gain
	}
}

// order ranks the choices by what they did up to b.
//
// Risks are uncertain, and the least of many is one that chance has made small. Choices that bear
// much noise are the likelier to owe their place to it, for they share it with the
// reference: a part of the uncertainty of the difference is added to the risk.
func (h *hindsight) order(b *boundary) {
	const (
		trust = 4  // points that the stated noise is worth
		alike = 12 // neighbouring boundaries whose references share points
	)
	var square, noise, gain, weight [choices]float64
	n, total, squares, rss, dof := 0.0, 0.0, 0.0, trust*h.stated, float64(trust)
	for k := b.k; k > b.k-looks; k-- {
		o := h.at(k)
		if o == nil || o.judge.gain == 0 {
			continue
		}
		j, w := &o.judge, 1/o.judge.gain
		n, total, squares = n+1, total+w, squares+w*w
		rss, dof = rss+j.rss, dof+j.dof
		for c := range choices {
			square[c] += w * j.square[c]
			noise[c] += w * j.noise[c]
			gain[c] += w * o.gain[c]
			if o.gain[c] != 0 { // else the others are 0 too
				weight[c] += w
			}
		}
	}
	b.noise = rss / dof
	lone := alike * squares / (total * total) // reciprocal of the number of independent references
	for c := range choices {
		if weight[c] <= total/2 {
			continue
		}
		own := gain[c] / weight[c]
		excess := (square[c]+b.noise*(noise[c]-gain[c]))/weight[c] + 0.4*lone*b.noise*own
		b.stray[c] = max(0, excess)
		b.risk[c] = excess + b.noise*(own+math.Sqrt(lone*own*n/total))
		b.insert(choice(c))
	}
}

// insert puts c in its place among the choices ranked.
func (b *boundary) insert(c choice) {
	at := b.ranks
	for ; at > 0 && b.risk[b.rank[at-1]] > b.risk[c]; at-- {
		b.rank[at] = b.rank[at-1]
	}
	b.rank[at] = c
	b.ranks++
}
