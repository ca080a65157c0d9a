// Package welcome is what the first start shows: call, place, headphones.
package welcome
