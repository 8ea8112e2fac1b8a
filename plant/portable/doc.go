// Package portable has the elementary functions and the random variates of a run, with the same
// bits on every processor.
//
// The functions of package math are not: some are written in assembly for some processors, and
// the compiler may fuse a product and a sum of the others into one operation that rounds once.
// Here every product that is added to something is rounded by a conversion, float64(x*y), which
// the language defines to prevent that, and of package math only operations are used whose result
// is exact or correctly rounded everywhere: Sqrt, Floor, Abs, Ldexp, Frexp and the like.
//
// Errors are stated in units in the last place (ulp) of the result; the tests measure them against
// math/big.
package portable
