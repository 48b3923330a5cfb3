// Package talk puts what the program knows into words for a person, and takes a person's
// words in.
//
// Out go sentences: a Speaker tells checks, readings, reasons and verdicts of one circuit;
// a Page wraps them to the width of the screen. In come answers: an Asker puts a Question
// by menus or by numbered lines; ParseReading and Speaker.ParseCheck read what was typed.
//
// The package decides nothing of the trade: what is still possible, what is unsafe and what
// a reading is worth it is told by the packages below. It knows nothing of commands either.
package talk
