// Package card works out what an operator takes to a pass: the dial card, with
// the frequencies to dial and when; how far and how fast the own voice moves if
// nothing is turned, and in a word how hard that is to hold; and what the age
// of the elements can cost.
//
// Frequencies are hertz, speeds of them Hz/s, angles degrees, times UTC. It
// reads no clock and no files; cardpdf draws the card as a page.
package card
