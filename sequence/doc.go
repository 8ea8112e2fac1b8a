// Package sequence is the functional side of the bench: a state machine in a
// document that tests the holding brake, scan by scan.
//
// A Document is what was read. Vet reports all that is wrong with it; Compile makes
// a Program of it, with the parameters resolved and every expression turned into
// closures; NewMachine starts a run of a program. In every functional scan the
// machine reads an image of the inputs and writes an image of the outputs:
//
//	p, err := sequence.Compile(document, nil)
//	m := sequence.NewMachine(p, 2*time.Millisecond)
//	for {
//		fired, err := m.Scan(&in, &out)
//	}
//
// The tables InputSignals and OutputSignals name all there is to be read and
// set. Units are part of the names; positive torque and current raise the load.
//
// The package does not depend on files, a clock or the plant.
package sequence
