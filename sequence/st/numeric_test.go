package st_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate"
	"gonum.org/v1/gonum/mat"
)

// solver is Gaussian elimination with partial pivoting (Golub and Van Loan, Matrix Computations,
// chapter 3, from memory), for six unknowns.
const solver = `
FUNCTION_BLOCK Solve
VAR CONSTANT N : INT := 6; END_VAR
VAR_INPUT a : ARRAY [1..N, 1..N] OF LREAL; b : ARRAY [1..N] OF LREAL; END_VAR
VAR_OUTPUT x : ARRAY [1..N] OF LREAL; END_VAR
VAR u : ARRAY [1..N, 1..N] OF LREAL; c : ARRAY [1..N] OF LREAL; i, j, k, p : INT; factor, t : LREAL; END_VAR
u := a; c := b;
FOR k := 1 TO N - 1 DO
  p := k;
  FOR i := k + 1 TO N DO
    IF ABS(u[i, k]) > ABS(u[p, k]) THEN p := i; END_IF;
  END_FOR;
  FOR j := 1 TO N DO t := u[k, j]; u[k, j] := u[p, j]; u[p, j] := t; END_FOR;
  t := c[k]; c[k] := c[p]; c[p] := t;
  FOR i := k + 1 TO N DO
    factor := u[i, k] / u[k, k];
    FOR j := k TO N DO u[i, j] := u[i, j] - factor * u[k, j]; END_FOR;
    c[i] := c[i] - factor * c[k];
  END_FOR; (* of the rows *)
END_FOR;
FOR i := N TO 1 BY -1 DO
  t := c[i];
  FOR j := i + 1 TO N DO t := t - u[i, j] * x[j]; END_FOR;
  x[i] := t / u[i, i];
END_FOR;
END_FUNCTION_BLOCK
PROGRAM p VAR s : Solve; a : ARRAY [1..6, 1..6] OF LREAL; b : ARRAY [1..6] OF LREAL; END_VAR
s(a := a, b := b);
END_PROGRAM`

// A program solves linear equations as gonum does.
func TestSolver(t *testing.T) {
	t.Parallel()
	m := machine(t, solver)
	random := rand.New(rand.NewPCG(3, 4))
	for range 20 {
		a, b := mat.NewDense(6, 6, nil), mat.NewVecDense(6, nil)
		for i := range 6 {
			for j := range 6 {
				a.Set(i, j, random.NormFloat64())
				m.set(fmt.Sprintf("a[%d, %d]", i+1, j+1), a.At(i, j))
			}
			b.SetVec(i, random.NormFloat64())
			m.set(fmt.Sprintf("b[%d]", i+1), b.AtVec(i))
		}
		m.scan()
		var x mat.VecDense
		require.NoError(t, x.SolveVec(a, b))
		bound := 1e-13 * mat.Cond(a, 2) // the error that rounding allows, with room for the six steps
		for i := range 6 {
			require.InDelta(t, x.AtVec(i), m.Real(m.ref(fmt.Sprintf("s.x[%d]", i+1))), bound*math.Max(1, mat.Norm(&x, 2)))
		}
	}
}

// romberg integrates exp(-x*x) from 0 to 2 (Romberg 1955; the scheme as in any text on numerical
// analysis), with as many samples as gonum gets.
const romberg = `
FUNCTION Bell : LREAL VAR_INPUT x : LREAL; END_VAR Bell := EXP(-x * x); END_FUNCTION
PROGRAM p
VAR r : ARRAY [0..5, 0..5] OF LREAL; i, j, k, n : INT; h, sum : LREAL; result : LREAL; four : LREAL; END_VAR
h := 2.0;
r[0, 0] := h / 2.0 * (Bell(0.0) + Bell(2.0));
n := 1;
FOR i := 1 TO 5 DO
  h := h / 2.0;
  sum := 0.0;
  FOR k := 1 TO 2 * n - 1 BY 2 DO sum := sum + Bell(x := k * h); END_FOR;
  n := 2 * n;
  r[i, 0] := r[i - 1, 0] / 2.0 + h * sum;
  four := 1.0;
  FOR j := 1 TO i DO
    four := four * 4.0;
    r[i, j] := r[i, j - 1] + (r[i, j - 1] - r[i - 1, j - 1]) / (four - 1.0);
  END_FOR; (* of the columns *)
END_FOR;
result := r[5, 5];
END_PROGRAM`

// A program integrates as gonum does, and as the closed form says.
func TestRomberg(t *testing.T) {
	t.Parallel()
	m := machine(t, romberg)
	m.scan()
	got := m.Real(m.ref("result"))
	samples := make([]float64, 33)
	for i := range samples {
		x := float64(i) / 16
		samples[i] = math.Exp(-x * x)
	}
	require.InDelta(t, integrate.Romberg(samples, 1.0/16), got, 1e-14)
	require.InDelta(t, math.Sqrt(math.Pi)/2*math.Erf(2), got, 1e-9)
}
