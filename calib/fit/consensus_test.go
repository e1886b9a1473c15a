package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// gravitySeries are eight series of g, see testdata/SOURCES.md.
func gravitySeries(t *testing.T) (all []Repeats) {
	t.Helper()
	series := map[float64][]float64{}
	for _, row := range table(t, "nbs_gravity.csv") {
		series[row[0]] = append(series[row[0]], row[1])
	}
	for i := 1.0; i <= 8; i++ {
		all = append(all, repeat(t, series[i]...))
	}
	return all
}

// R 4.2, with g the table's second column and s its first:
//
//	m <- tapply(g, s, mean); u <- tapply(g, s, function(x) sd(x)/sqrt(length(x))); w <- 1/u^2
//	x <- weighted.mean(m, w); sqrt(1/sum(w)); q <- sum(w*(m-x)^2); sqrt(q/7); pchisq(q, 7, lower = FALSE)
func TestAgreeGravity(t *testing.T) {
	var results []Result
	for _, r := range gravitySeries(t) {
		results = append(results, Result{r.Mean, r.U})
	}
	c, err := Agree(results, math.Inf(1))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "weighted mean", c.Mean, 78.629123854643268, 1e-12)
	near(t, "u", c.U, 0.589561822131751, 1e-12)
	near(t, "chi squared", c.ChiSquared, 21.27560129043061821, 1e-11)
	near(t, "Birge", c.Birge, 1.74337936574879193, 1e-12)
	near(t, "p", c.P, 0.00338295746935185, 1e-9)
	near(t, "external u", c.External, 0.589561822131751*1.74337936574879193, 1e-12)
	u, k, err := c.Expanded(0.95)
	near(t, "coverage, 7 degrees of freedom", k, 2.36462425159278, 1e-8) // qt(0.975, 7) in R
	near(t, "expanded", u, k*c.External, 1e-12)
	if err != nil {
		t.Error(err)
	}
}

// The same series by their pooled scatter, which is the one-way analysis of variance: F
// 3.56753 on 7 and 73 degrees of freedom, p 0.0023566; Bartlett's p 3.4e-9. R 4.2:
//
//	anova(lm(g ~ factor(s))); bartlett.test(g, s)
func TestAgreeGravityPooled(t *testing.T) {
	sets := gravitySeries(t)
	sd, dof, alike, err := Pool(sets)
	if err != nil {
		t.Fatal(err)
	}
	var results []Result
	grand, n := 0.0, 0.0
	for _, r := range sets {
		results = append(results, Result{r.Mean, sd / math.Sqrt(float64(r.N))})
		grand += r.Mean * float64(r.N)
		n += float64(r.N)
	}
	c, err := Agree(results, dof)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "F", c.ChiSquared/7, 3.567530293074716, 1e-9)
	near(t, "p", c.P, 0.002356617255616596, 1e-8)
	near(t, "degrees of freedom", c.DoF, 73, 1e-12)
	near(t, "mean", c.Mean, grand/n, 1e-12)
	near(t, "Bartlett's p", alike, 3.366908696728833e-09, 1e-6)
}

// What all share alike moves the mean and nothing else; what two of three share makes
// them count for less: both against the covariance matrix V inverted, in R 4.2:
//
//	e <- c(.3, .3, 0); V <- diag(c(.1, .1, .2)^2) + e %*% t(e) + .5^2; W <- solve(V); y <- c(1.2, 1.1, 0.7)
//	rowSums(W)/sum(W); m <- sum(W %*% y)/sum(W); m; sqrt(1/sum(W)); t(y - m) %*% W %*% (y - m)
func TestAgreeShared(t *testing.T) {
	c, err := Agree([]Result{{1.2, 0.1}, {1.1, 0.1}, {0.7, 0.2}}, math.Inf(1),
		Source{"spring rate", []float64{0.3, 0.3, 0}}, Source{"gravity", []float64{0.5, 0.5, 0.5}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", c.Mean, 2.5/3, 1e-12)
	near(t, "u", c.U, 0.5273975238358141, 1e-12)
	near(t, "chi squared", c.ChiSquared, 2, 1e-11)
	near(t, "u by what all share", c.Shared, 0.5, 1e-12)
	near(t, "u by the rest", c.Own, math.Sqrt(0.5273975238358141*0.5273975238358141-0.25), 1e-11)
	for i, w := range []float64{4. / 27, 4. / 27, 19. / 27} {
		near(t, "weight", c.Weights[i], w, 1e-11)
	}
}

// Peelle's puzzle (1987; from memory): 1.5 and 1.0, each good to a tenth, share a scale
// good to a fifth. Least squares with effects as they are answers 0.88, less than either.
func TestAgreeStaysAmongTheResults(t *testing.T) {
	results, scale := []Result{{1.5, 0.15}, {1, 0.1}}, Source{"scale", []float64{0.3, 0.2}}
	c, err := Agree(results, math.Inf(1), scale)
	if err != nil {
		t.Fatal(err)
	}
	w := 1 / 0.15 / 0.15 / (1/0.15/0.15 + 1/0.1/0.1)
	near(t, "mean", c.Mean, 1.5*w+1-w, 1e-12)
	near(t, "u by the scale", c.Shared, 0.3*w+0.2*(1-w), 1e-12)
	known, err := Stated([][]float64{{1}, {1}}, []float64{1.5, 1}, []float64{0.15, 0.1}, []Source{scale})
	if err != nil || math.Abs(known.Values[0]-0.88) > 0.005 {
		t.Errorf("the puzzle answers %v, %v, want 0.88", known.Values, err)
	}
	near(t, "chi squared", c.ChiSquared, known.SumSquares, 1e-12)
}

func TestAgreeRefusals(t *testing.T) {
	_, err := Agree([]Result{{1, 1}}, 1)
	refused(t, err, "1 results", "2 are needed")
	_, err = Agree([]Result{{1, 1}, {1, 1}}, 0)
	refused(t, err, "0 degrees of freedom")
	_, err = Agree([]Result{{1, 1}, {1, 0}}, 1)
	refused(t, err, "zero")
	_, _, _, err = Pool([]Repeats{summary(1, 3, 0), summary(2, 3, 0)})
	refused(t, err, "no set has two readings that differ")
}

// Groups of a few trials, drawn from one quantity, by their pooled scatter: one class in
// twenty is taken for contradicting itself, and the interval holds the truth in 95 %, even
// where the groups scatter unlike; weighed each by its own scatter neither is so.
func TestAgreeKeepsItsWord(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	const draws = 4000
	for _, c := range []struct {
		groups, trials int
		spread         float64 // of the widest over the narrowest
		alarms         float64 // at most
	}{{3, 5, 1, 0.06}, {8, 3, 1, 0.06}, {8, 5, 3, 0.09}} {
		alarms, held, ownAlarms, ownHeld := 0, 0, 0, 0
		for range draws {
			var sets []Repeats
			for g := range c.groups {
				sets = append(sets, normal(rng, c.trials, 0, 1+(c.spread-1)*float64(g%3)/2))
			}
			sd, dof, _, err := Pool(sets)
			if err != nil {
				t.Fatal(err)
			}
			var pooled, own []Result
			for _, r := range sets {
				pooled = append(pooled, Result{r.Mean, sd / math.Sqrt(float64(r.N))})
				own = append(own, Result{r.Mean, r.U})
			}
			judge(t, pooled, dof, &alarms, &held)
			judge(t, own, math.Inf(1), &ownAlarms, &ownHeld)
		}
		share := func(n int) float64 { return float64(n) / draws }
		t.Logf("%+v: false alarms %.3f, truth held %.3f; each by its own scatter %.3f, %.3f", c, share(alarms), share(held), share(ownAlarms), share(ownHeld))
		if share(alarms) < 0.04 || share(alarms) > c.alarms || share(held) < 0.94 || share(held) > 0.97 {
			t.Errorf("%+v: false alarms %.3f, truth held %.3f", c, share(alarms), share(held))
		}
		if share(ownAlarms) < 0.1 || share(ownHeld) > 0.92 {
			t.Errorf("%+v: own scatters do as well (%.3f, %.3f): is pooling needed?", c, share(ownAlarms), share(ownHeld))
		}
	}
}

func judge(t *testing.T, results []Result, dof float64, alarms, held *int) {
	t.Helper()
	c, err := Agree(results, dof)
	if err != nil {
		t.Fatal(err)
	}
	if c.P < 0.05 {
		*alarms++
	}
	if u, _, _ := c.Expanded(0.95); math.Abs(c.Mean) <= u {
		*held++
	}
}
