package calibrate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// noBlend turns the assumption off, so that the plain estimates show.
var noBlend = Assumption{DayPct: 1, ReadingPct: 0.7, DF: 0}

// table is a gears × days data set: y[gear][day] lists the values, so that published experiments can be fed to the
// estimator without logarithms.
type cell struct {
	gear, day int
	y         float64
}

func designOf(cells []cell, gears, days int) *design {
	d := &design{p: gears}
	for day := range days {
		for _, c := range cells {
			if c.day != day {
				continue
			}
			row := make([]float64, gears)
			row[c.gear] = 1
			d.x = append(d.x, row...)
			d.y = append(d.y, c.y)
			d.w = append(d.w, 1)
			d.day = append(d.day, day)
			d.n++
		}
	}
	return d
}

func shareOf(d *design, gears, days int) Share {
	var z [][]float64
	for j := range days {
		column := make([]float64, d.n)
		for i := range d.n {
			if d.day[i] == j {
				column[i] = 1
			}
		}
		z = append(z, column)
	}
	dayDF := float64(len(d.independent(z)))
	own := part{profile: profileOf(d.sum(gears)), dayDF: dayDF, free: float64(d.n - d.p),
		residual: float64(d.n-d.p) - dayDF}
	return Share{all: own, pooled: own}
}

// estimate is the plain REML fit: means, their standard errors, and the two standard deviations.
func estimate(t *testing.T, d *design, gears, days int) (mean, se []float64, daySD, readingSD float64) {
	t.Helper()
	rep, _ := Pool(shareOf(d, gears, days), noBlend)
	require.NotNil(t, rep.Measured)
	daySD, readingSD = rep.Measured.DayPct/100, rep.Measured.ReadingPct/100
	s := d.sum(gears)
	var sol solution
	rho := daySD * daySD / (readingSD * readingSD)
	require.NoError(t, s.solve(rho, &sol))
	inverse := s.spread(rho, &sol).inverse
	for g := range gears {
		mean = append(mean, sol.beta[g]+s.shift[g])
		se = append(se, readingSD*math.Sqrt(inverse.At(g, g)))
	}
	return mean, se, daySD, readingSD
}

// ergoStool is effort for four types of stool, by subject (Pinheiro and Bates, Mixed-Effects Models in S and S-PLUS,
// 2000).
func ergoStool() []cell {
	return matrix([][]float64{
		{12, 15, 12, 10}, {10, 14, 13, 12}, {7, 14, 13, 9}, {7, 11, 10, 9}, {8, 11, 8, 7}, {9, 11, 11, 10}, {8, 12, 12,
			11}, {7, 11, 8, 7}, {9, 13, 10, 8},
	})
}

// Figures of R 4.2.2, nlme 3.1-162, checked against lme4; the data are in Pinheiro and Bates, Mixed-Effects Models in
// S and S-PLUS (2000), and Davies and Goldsmith, Statistical Methods in Research and Production, and ship with R.
func TestREML_AgainstPublishedExperiments(t *testing.T) {
	t.Parallel()
	rail := rows([][]float64{{55, 53, 54}, {26, 37, 32}, {78, 91, 85}, {92, 100, 96}, {49, 51, 50}, {80, 85, 83}})
	stool := ergoStool()
	for _, c := range []struct {
		name        string
		cells       []cell
		gears, days int
		mean, se    []float64
		day, read   float64
	}{
		{"Rail, balanced", rail, 1, 6, []float64{66.5}, []float64{10.17104}, 24.80547, 4.020779},
		{
			"Rail without 54, 37, 32, 96 and 83", without(rail,
				[][3]float64{{0, 0, 54}, {0, 1, 37}, {0, 1, 32}, {0, 3, 96}, {0, 5, 83}}), 1, 6,
			[]float64{65.61957}, []float64{10.78261}, 26.22101, 4.368605,
		},
		{
			"ergoStool, balanced", stool, 4, 9,
			[]float64{8.555556, 12.444444, 10.777778, 9.222222}, []float64{0.5760123, 0.5760123, 0.5760123,
				0.5760123}, 1.332465, 1.100295,
		},
		{
			"ergoStool without eight observations",
			without(stool, [][3]float64{{1, 0, 15}, {3, 2, 9}, {0, 4, 8}, {2, 4, 8}, {1, 7, 11}, {1, 8, 13}, {2, 8, 10},
				{3, 8, 8}}), 4, 9,
			[]float64{8.454082, 12.116253, 11.136496, 9.563440}, []float64{0.6058145, 0.6623033, 0.6329339,
				0.6321450}, 1.350362, 1.122611,
		},
		{
			"Dyestuff, six batches of five",
			rows([][]float64{
				{1545, 1440, 1440, 1520, 1580}, {1540, 1555, 1490, 1560, 1495}, {1595, 1550, 1605, 1510, 1560},
				{1445, 1440, 1595, 1465, 1545}, {1595, 1630, 1515, 1635, 1625}, {1520, 1455, 1450, 1480, 1445},
			}), 1, 6, []float64{1527.5}, []float64{19.38341}, 42.00060, 49.51010,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			mean, se, day, read := estimate(t, designOf(c.cells, c.gears, c.days), c.gears, c.days)
			// Half a unit of the last digit that R printed: seven digits.
			assert.InEpsilonSlice(t, c.mean, mean, 1e-7)
			assert.InEpsilonSlice(t, c.se, se, 1e-6)
			assert.InEpsilon(t, c.day, day, 1e-6)
			assert.InEpsilon(t, c.read, read, 1e-6)
		})
	}
}

// JCGM 100:2008 (GUM), H.5, Table H.9, from memory: ten days of five observations. Only daily means and standard
// deviations are printed, so each day gets five values with exactly those. REML of a balanced design is the analysis
// of variance that the example carries out by hand.
func TestREML_AgainstGUMExampleH5(t *testing.T) {
	t.Parallel()
	means := []float64{172, 116, 13, 144, 106, 31, 60, 125, 163, 41} // µV above 10 V
	sds := []float64{60, 77, 111, 101, 67, 93, 80, 73, 88, 86}
	var cells []cell
	for day, m := range means {
		for _, z := range []float64{-math.Sqrt2, -1 / math.Sqrt2, 0, 1 / math.Sqrt2, math.Sqrt2} { // sample sd √(5/4)
			cells = append(cells, cell{0, day, m + sds[day]*z/math.Sqrt(1.25)})
		}
	}
	d := designOf(cells, 1, 10)
	_, se, day, read := estimate(t, d, 1, 10)
	assert.InDelta(t, 85, read, 0.5, "pooled daily sd")
	assert.InDelta(t, 43, day, 0.5, "between-day sd")
	assert.InDelta(t, 18, se[0], 0.5, "standard uncertainty of the mean")
	share := shareOf(d, 1, 10)
	assert.Equal(t, 9.0, share.all.dayDF)
	assert.Equal(t, 40.0, share.all.residual)
}

// JCGM 100:2008 (GUM), Table G.2, p = 95 %.
func TestStudentT_AgainstGUMTableG2(t *testing.T) {
	t.Parallel()
	for df, want := range map[float64]float64{1: 12.71, 4: 2.78, 10: 2.23, 20: 2.09} {
		assert.InDelta(t, want, t95(df), 0.005, "%g degrees of freedom", df)
	}
	assert.InDelta(t, 1.960, t95(math.Inf(1)), 0.0005)
	for df := 1.0; df < 5000; df *= 1.03 {
		assert.InEpsilon(t, quantile(0.975, df), t95(df), 1e-7)
	}
}

// The closed forms by day against the textbook: build V, invert, multiply.
func TestSolution_AgainstDenseComputation(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		gears, days := rapid.IntRange(1, 5).Draw(t, "gears"), rapid.IntRange(1, 5).Draw(t, "days")
		rho := rapid.Float64Range(0, 50).Draw(t, "rho")
		d := &design{p: gears}
		for day := range days {
			for g := range gears {
				for range rapid.IntRange(1, 3).Draw(t, "repeats") {
					row := make([]float64, gears)
					row[g] = 1
					d.x = append(d.x, row...)
					d.y = append(d.y, 5+0.1*float64(g)+rapid.Float64Range(-0.1, 0.1).Draw(t, "noise"))
					d.w = append(d.w, rapid.Float64Range(0.05, 1).Draw(t, "weight"))
					d.day = append(d.day, day)
					d.n++
				}
			}
		}
		s := d.sum(gears)
		var sol solution
		require.NoError(t, s.solve(rho, &sol))
		sp := s.spread(rho, &sol)

		v := mat.NewSymDense(d.n, nil)
		zz := mat.NewSymDense(d.n, nil)
		for i := range d.n {
			for j := range i + 1 {
				if d.day[i] == d.day[j] {
					v.SetSym(i, j, rho)
					zz.SetSym(i, j, 1)
				}
			}
			v.SetSym(i, i, v.At(i, i)+1/d.w[i])
		}
		x, y := mat.NewDense(d.n, d.p, d.x), mat.NewVecDense(d.n, d.y)
		var vi, xv, xvx, c, h, beta mat.Dense
		require.NoError(t, vi.Inverse(v))
		xv.Mul(x.T(), &vi)
		xvx.Mul(&xv, x)
		require.NoError(t, c.Inverse(&xvx))
		h.Mul(&c, &xv)
		beta.Mul(&h, y)
		for g := range gears {
			assert.InEpsilon(t, beta.At(g, 0), sol.beta[g]+s.shift[g], 1e-9)
		}
		var fitted, r, vr mat.VecDense
		fitted.MulVec(x, beta.ColView(0))
		r.SubVec(y, &fitted)
		vr.MulVec(&vi, &r)
		assert.InDelta(t, mat.Dot(&r, &vr), sol.rss, 1e-9)
		logV, _ := mat.LogDet(v)
		logX, _ := mat.LogDet(&xvx)
		assert.InDelta(t, logV+logX, sol.logDet, 1e-8)
		var hz, hzh, w, hw, hwh mat.Dense
		hz.Mul(&h, zz)
		hzh.Mul(&hz, h.T())
		w.CloneFrom(v)
		w.Scale(0, &w)
		for i := range d.n {
			w.Set(i, i, 1/d.w[i])
		}
		hw.Mul(&h, &w)
		hwh.Mul(&hw, h.T())
		assert.True(t, mat.EqualApprox(&hzh, sp.day, 1e-9), "part of the days")
		assert.True(t, mat.EqualApprox(&hwh, sp.reading, 1e-9), "part of the readings")

		// The derivatives against differences.
		var up, down solution
		const step = 1e-5
		require.NoError(t, s.solve(rho+step, &up))
		require.NoError(t, s.solve(rho+2*step, &down))
		var mid solution
		require.NoError(t, s.solve(rho+step, &mid))
		require.NoError(t, s.solve(rho, &up))
		assert.InDelta(t, (down.rss-up.rss)/(2*step), mid.dRSS, 1e-4)
		assert.InDelta(t, (down.logDet-up.logDet)/(2*step), mid.dLogDet, 1e-4)
	})
}

// rows are days of one gear; matrix has a row a day and a column a gear.
func rows(days [][]float64) []cell {
	var out []cell
	for day, values := range days {
		for _, y := range values {
			out = append(out, cell{0, day, y})
		}
	}
	return out
}

func matrix(days [][]float64) []cell {
	var out []cell
	for day, values := range days {
		for gear, y := range values {
			out = append(out, cell{gear, day, y})
		}
	}
	return out
}

// without drops one cell for each gear, day and value given.
func without(cells []cell, drop [][3]float64) []cell {
	out := append([]cell(nil), cells...)
	for _, d := range drop {
		for i, c := range out {
			if float64(c.gear) == d[0] && float64(c.day) == d[1] && c.y == d[2] {
				out = append(out[:i], out[i+1:]...)
				break
			}
		}
	}
	return out
}
