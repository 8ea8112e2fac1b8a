// Package evaluate judges a recorded test of a real brake again, with the rules of a rig's judge.
//
//	e, err := evaluate.Evaluate(&rig, recorded, evaluate.Options{})
//	e.Verdict // proven, failed or none
//
// The recorded signals are held, each at its last sample, and read by [safety.Side] at its own scan, as if
// it stood beside the machine. What a recording does not have is assumed only where the assumption can be
// named ([Evaluation.Assumptions]); where nothing can stand in, the error names the signals that would do.
// The phase of the scans of the real safety side against the recording is unknown, so that the test is
// judged at several phases ([Evaluation.Phases]).
//
// Beside the verdict stand margins ([Check]), the values at which it changes ([Threshold]), the figures
// that can be followed over months ([Figures]), and what the signals show of the obligations of a run
// ([Obligation]), which are never called kept without evidence.
//
// This is a second look by a model of a judge. The verdict of the certified safety function of the machine
// is the one that counts, and neither proves a machine safe.
package evaluate
