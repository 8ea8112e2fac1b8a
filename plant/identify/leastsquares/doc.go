// Package leastsquares fits the parameters of a model to measured values by weighted nonlinear
// least squares, and says how well they are known.
//
//	S(p) = Σ w_i (y_i − f_i(p))² → min,  lower ≤ p ≤ upper
//
// The method is Levenberg–Marquardt with a trust region: Moré, The Levenberg–Marquardt algorithm:
// implementation and theory, Lecture Notes in Mathematics 630, Springer 1978, pp. 105–116, in the
// words of Nocedal and Wright, Numerical Optimization, 2nd ed., Springer 2006, section 10.3 and
// algorithm 4.3 (sections from memory). The linear step is solved by a QR decomposition and the
// singular values of its triangle; normal equations are never formed. Steps are projected on the
// bounds, and a parameter that the gradient presses against its bound rests for that step
// (gradient projection: Nocedal and Wright, section 16.7, from memory).
//
// The method is written here because no library of Go that is kept offers it: gonum has none
// (its issue 295 is open since 2017), the package that was once proposed for it solves the normal
// equations, knows no bounds and no standard errors, and cannot be had as a module; others bind a
// library in C.
//
// A fit draws nothing at random and reads no clock: the same problem gives the same bits.
package leastsquares
