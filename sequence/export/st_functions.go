package export

// functions writes the functions that the program needs.
func (w *stWriter) functions() {
	for _, f := range []struct {
		needed     bool
		text, name string
	}{
		{w.needs.count, countText, w.own.count},
		{w.needs.least, leastText, w.own.least},
		{w.needs.seconds, secondsText, w.own.seconds},
		{w.needs.sign, signText, w.own.sign},
		{w.needs.cosine, cosineText, w.own.cosine},
	} {
		if f.needed {
			w.line(0, f.text, f.name)
		}
	}
}

// The functions, in which %[1]s is the name.
const (
	countText = `(* For how many scans a condition has held: 0 in the first, -1 while it does not. *)
FUNCTION %[1]s : DINT
VAR_INPUT
  met : BOOL;
  before, scans_since : DINT;
END_VAR
IF NOT met THEN
  %[1]s := -1;
ELSIF before < 0 THEN
  %[1]s := 0;
ELSE
  %[1]s := MIN(before + scans_since, 2000000000);
END_IF;
END_FUNCTION
`

	leastText = `(* The least number of scans that lasts at least a time; both times in s, counted in ns. *)
FUNCTION %[1]s : DINT
VAR_INPUT
  time_s, one_scan_s : LREAL;
END_VAR
VAR
  one_scan : LINT;
END_VAR
one_scan := LREAL_TO_LINT(one_scan_s * 1.0E9);
%[1]s := LINT_TO_DINT(MIN((LREAL_TO_LINT(time_s * 1.0E9) + one_scan - 1) / one_scan, 2000000000));
END_FUNCTION
`

	secondsText = `(* The time of a number of scans, in s. *)
FUNCTION %[1]s : LREAL
VAR_INPUT
  scans_counted : DINT;
  one_scan_s : LREAL;
END_VAR
VAR
  time_ns : LINT;
END_VAR
time_ns := DINT_TO_LINT(scans_counted) * LREAL_TO_LINT(one_scan_s * 1.0E9);
%[1]s := LINT_TO_LREAL(time_ns / 1000000000) + LINT_TO_LREAL(time_ns MOD 1000000000) / 1.0E9;
END_FUNCTION
`

	signText = `FUNCTION %[1]s : LREAL
VAR_INPUT
  x : LREAL;
END_VAR
IF x > 0.0 THEN
  %[1]s := 1.0;
ELSIF x < 0.0 THEN
  %[1]s := -1.0;
ELSE
  %[1]s := 0.0;
END_IF;
END_FUNCTION
`

	cosineText = `FUNCTION %[1]s : LREAL
VAR_INPUT
  angle_deg : LREAL;
END_VAR
%[1]s := COS(angle_deg * 3.141592653589793 / 180.0);
END_FUNCTION
`
)
