package uncertainty

import "math"

// Correlated gives numbers for estimates with a known covariance matrix
// (JCGM 100:2008 5.2): values, one name each, the covariance matrix in the units
// of the values, and the degrees of freedom shared by all of them (+Inf for a
// Type B evaluation). A variance of 0 makes that number exact.
//
// Errors: bad-value, bad-dof, bad-covariance (not square, not symmetric, or not
// positive semi-definite: a correlation beyond +-1, say). It panics unless there
// is one name and one row for each value.
func Correlated(values []float64, covariance [][]float64, names []string, dof float64) ([]Number, error) {
	if len(names) != len(values) || len(covariance) != len(values) {
		panic("uncertainty: Correlated wants one name and one row for each value")
	}
	u, r, err := standardise(covariance)
	if err != nil {
		return nil, err
	}
	group := &ensemble{r: r, dof: dof}
	x := make([]Number, len(values))
	for i := range values {
		if err := checkEstimate(values[i], u[i], names[i], dof); err != nil {
			return nil, err
		}
		x[i] = Number{value: values[i]}
		if u[i] > 0 {
			x[i].parts = []part{{&source{names[i], u[i], dof, group, i}, u[i]}}
		}
	}
	return x, nil
}

// Simultaneous gives the means of quantities that were read together n >= 2
// times, readings[i][k] being the k-th reading of quantity i, with the
// covariances of the means and n-1 degrees of freedom:
//
//	s(mean_i, mean_j) = sum_k (q_ik - mean_i)(q_jk - mean_j) / (n (n-1))
//
// (JCGM 100:2008 5.2.3, eq. (17); the example is H.2). Errors: too-few, bad-value.
// It panics unless every quantity has a name and the same number of readings.
func Simultaneous(readings [][]float64, names []string) ([]Number, error) {
	if len(readings) == 0 || len(names) != len(readings) {
		panic("uncertainty: Simultaneous wants one name for each quantity")
	}
	n := len(readings[0])
	if n < 2 {
		return nil, refuse("too-few", "One reading says nothing of its repeatability.",
			"Take at least two readings.")
	}
	means := make([]float64, len(readings))
	for i, q := range readings {
		if len(q) != n {
			panic("uncertainty: Simultaneous wants as many readings of each quantity")
		}
		m, err := mean(q, names[i])
		if err != nil {
			return nil, err
		}
		means[i] = m
	}
	return Correlated(means, covarianceOfMeans(readings, means), names, float64(n-1))
}

func covarianceOfMeans(readings [][]float64, means []float64) [][]float64 {
	n := float64(len(readings[0]))
	v := make([][]float64, len(readings))
	for i := range v {
		v[i] = make([]float64, len(readings))
		for j := range i + 1 {
			sum := 0.0
			for k := range readings[i] {
				sum += (readings[i][k] - means[i]) * (readings[j][k] - means[j])
			}
			v[i][j] = sum / (n * (n - 1))
			v[j][i] = v[i][j]
		}
	}
	return v
}

func mean(q []float64, name string) (float64, error) {
	sum := 0.0
	for _, x := range q {
		sum += x
	}
	m := sum / float64(len(q))
	if !finite(m) {
		return m, refuse("bad-value", "A reading of "+quoted(name)+" is not a finite number.",
			"Enter the reading again.")
	}
	return m, nil
}

// standardise splits a covariance matrix into standard uncertainties and
// correlations, and refuses what is no covariance matrix.
func standardise(v [][]float64) (u []float64, r [][]float64, err error) {
	u = make([]float64, len(v))
	for i := range v {
		if len(v[i]) != len(v) || !finite(v[i][i]) || v[i][i] < 0 {
			return nil, nil, notCovariance("it needs as many columns as rows, and variances of 0 or more")
		}
		u[i] = math.Sqrt(v[i][i])
	}
	r = make([][]float64, len(v))
	for i := range v {
		r[i] = make([]float64, len(v))
		r[i][i] = 1
	}
	for i := range v {
		for j := range i {
			if v[i][j] != v[j][i] || (u[i]*u[j] == 0 && v[i][j] != 0) {
				return nil, nil, notCovariance("it is not symmetric, or a covariance stands beside a variance of 0")
			}
			if v[i][j] != 0 {
				r[i][j] = v[i][j] / u[i] / u[j]
				r[j][i] = r[i][j]
			}
		}
	}
	if _, err := factor(r); err != nil {
		return nil, nil, err
	}
	return u, r, nil
}

func notCovariance(why string) *Error {
	return refuse("bad-covariance", "The matrix is not a covariance matrix: "+why+".",
		"Estimate it from readings taken together, or give correlations between -1 and 1 that can hold at once.")
}

// factor gives the lower triangle l with l lT = r, for a correlation matrix r
// that may be singular (correlations of +-1). A pivot below tolerance counts as
// 0, and then nothing may be left in its column.
func factor(r [][]float64) ([][]float64, error) {
	tolerance := 1e-12 * float64(len(r)) // the unit diagonal sets the scale
	l := make([][]float64, len(r))
	for i := range r {
		l[i] = make([]float64, len(r))
	}
	for j := range r {
		pivot := residue(r, l, j, j)
		if !(pivot >= -tolerance) {
			return nil, notCovariance("its correlations cannot hold at once")
		}
		if pivot > tolerance {
			l[j][j] = math.Sqrt(pivot)
		}
		for i := j + 1; i < len(r); i++ {
			rest := residue(r, l, i, j)
			switch {
			case l[j][j] > 0:
				l[i][j] = rest / l[j][j]
			case !(math.Abs(rest) <= math.Sqrt(tolerance)):
				return nil, notCovariance("its correlations cannot hold at once")
			}
		}
	}
	return l, nil
}

// residue is r[i][j] less what the columns of l before j already explain.
func residue(r, l [][]float64, i, j int) float64 {
	rest := r[i][j]
	for k := range j {
		rest -= l[i][k] * l[j][k]
	}
	return rest
}
