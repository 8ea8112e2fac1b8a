package portable

// pair is a number of twice the precision, the unevaluated sum of two float64 of which the second
// is at most half a unit in the last place of the first. Source: Dekker, A floating-point technique
// for extending the available precision, Numerische Mathematik 18, 1971; the sum of two after
// Knuth, The Art of Computer Programming 2, 4.2.2 (both from memory).
type pair struct{ high, low float64 }

func (p pair) value() float64 { return p.high + p.low }

// sumOf is a + b exactly.
func sumOf(a, b float64) pair {
	sum := a + b
	part := sum - a
	return pair{sum, (a - (sum - part)) + (b - part)}
}

// productOf is a·b exactly, of numbers below 2^970.
func productOf(a, b float64) pair {
	product := float64(a * b)
	a1, a2 := halves(a)
	b1, b2 := halves(b)
	rest := float64(a1*b1) - product
	rest += float64(a1 * b2)
	rest += float64(a2 * b1)
	return pair{product, rest + float64(a2*b2)}
}

// halves splits a number into two of 26 bits, the products of which are exact.
func halves(a float64) (high, low float64) {
	large := float64(a * (1<<27 + 1))
	high = large - (large - a)
	return high, a - high
}

func (p pair) plus(q pair) pair {
	sum := sumOf(p.high, q.high)
	return sumOf(sum.high, sum.low+(p.low+q.low))
}

func (p pair) times(q pair) pair {
	product := productOf(p.high, q.high)
	return sumOf(product.high, product.low+(float64(p.high*q.low)+float64(p.low*q.high)))
}

// over is p divided by a number that is exact.
func (p pair) over(q float64) pair {
	quotient := p.high / q
	product := productOf(quotient, q)
	rest := (p.high - product.high) - product.low + p.low
	return sumOf(quotient, rest/q)
}
