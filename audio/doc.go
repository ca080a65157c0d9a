// Package audio takes what is on the air to the ear: voices, the downlink
// passband as complex samples, the SSB receiver, headset and limiter, and
// where the samples go. It computes no orbits and decides nothing.
package audio
