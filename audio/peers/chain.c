/* Receiver chains of liquid-dsp and of plain C beside ours. Built by run.sh:
 *   cc -O3 -march=native -ffast-math chain.c -lliquid -lm -o chain      (-DLIQUID with liquid-dsp)
 * Prints Msample of 96 kHz input per second of processor time, median of 7 runs
 * of 0.4 s, blocks of 480.
 *
 * "ours": the structure of package audio: mix, /8 with 48 taps to 12 kHz, 169
 * real taps, AGC, x4 with 24 taps, mix, real part.
 * "wide": the usual one: mix, /2 with 129 taps, 129 complex taps at 48 kHz, real part, AGC.
 */
#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#ifdef LIQUID
#include <liquid/liquid.h>
#endif

enum { BLOCK = 480, BASE = 60, OUT = 240, RUNS = 7 };
static const double pi = 3.14159265358979323846;
static volatile float kept;

static double seconds(void)
{
	struct timespec t;
	clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
	return t.tv_sec + 1e-9 * t.tv_nsec;
}

static int rising(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

static void low_pass(float *h, int n, double cutoff)
{
	double sum = 0;
	for (int i = 0; i < n; i++) {
		double t = i - (n - 1) / 2.0, w = 0.42 - 0.5 * cos(2 * pi * i / (n - 1)) + 0.08 * cos(4 * pi * i / (n - 1));
		h[i] = (t == 0 ? 2 * cutoff : sin(2 * pi * cutoff * t) / (pi * t)) * w;
		sum += h[i];
	}
	for (int i = 0; i < n; i++)
		h[i] /= sum;
}

static float complex input[BLOCK];

static void measure(const char *name, void (*block)(void))
{
	double r[RUNS];
	for (int k = -1; k < RUNS; k++) {
		double from = seconds(), to;
		long n = 0;
		do {
			for (int i = 0; i < 50; i++)
				block();
			n += 50 * BLOCK;
			to = seconds();
		} while (to - from < 0.4);
		if (k >= 0)
			r[k] = n / (to - from) / 1e6;
	}
	qsort(r, RUNS, sizeof *r, rising);
	printf("%s %.2f Msample/s  # %.2f to %.2f\n", name, r[RUNS / 2], r[0], r[RUNS - 1]);
}

/* plain C, split arrays */
static float taps_dec[48], taps_ssb[169], taps_up[24], bank[4][6];
static float d_re[47 + BLOCK], d_im[47 + BLOCK], b_re[168 + BASE], b_im[168 + BASE], u_re[5 + BASE], u_im[5 + BASE];
static double phase, up_phase;
static float env = 1;

static void fir(float *o, const float *x, const float *h, int n)
{
	float a = 0;
	for (int k = 0; k < n; k++)
		a += h[k] * x[k];
	*o = a;
}

static void plain(void)
{
	memmove(d_re, d_re + BLOCK, 47 * 4);
	memmove(d_im, d_im + BLOCK, 47 * 4);
	float complex w = cexp(-2 * pi * I * 10500 / 96000), z = cexp(I * phase);
	for (int i = 0; i < BLOCK; i++) {
		float complex y = input[i] * z;
		d_re[47 + i] = crealf(y);
		d_im[47 + i] = cimagf(y);
		z *= w;
	}
	phase = fmod(phase - 2 * pi * 10500 / 96000 * BLOCK, 2 * pi);
	memmove(b_re, b_re + BASE, 168 * 4);
	memmove(b_im, b_im + BASE, 168 * 4);
	memmove(u_re, u_re + BASE, 5 * 4);
	memmove(u_im, u_im + BASE, 5 * 4);
	for (int i = 0; i < BASE; i++) {
		fir(b_re + 168 + i, d_re + 8 * i, taps_dec, 48);
		fir(b_im + 168 + i, d_im + 8 * i, taps_dec, 48);
	}
	for (int i = 0; i < BASE; i++) {
		float x, y, m;
		fir(&x, b_re + i, taps_ssb, 169);
		fir(&y, b_im + i, taps_ssb, 169);
		m = sqrtf(x * x + y * y);
		env += (m > env ? 0.03f : 0.0003f) * (m - env);
		u_re[5 + i] = x / (env + 1e-6f);
		u_im[5 + i] = y / (env + 1e-6f);
	}
	float complex v = cexp(2 * pi * I * 1500 / 48000), q = cexp(I * up_phase);
	float sum = 0;
	for (int i = 0; i < OUT; i++) {
		float x, y;
		fir(&x, u_re + i / 4, bank[i % 4], 6);
		fir(&y, u_im + i / 4, bank[i % 4], 6);
		sum += x * crealf(q) - y * cimagf(q);
		q *= v;
	}
	up_phase = fmod(up_phase + 2 * pi * 1500 / 48000 * OUT, 2 * pi);
	kept += sum;
}

/* the multiply-accumulate limit: complex data, 169 real taps */
static void macs(void)
{
	float a = 0, x;
	for (int i = 0; i < BLOCK; i++) {
		fir(&x, b_re + i % 60, taps_ssb, 169);
		a += x;
		fir(&x, b_im + i % 60, taps_ssb, 169);
		a += x;
	}
	kept += a;
}

#ifdef LIQUID
static nco_crcf mixer, upper;
static firdecim_crcf dec8, dec2;
static firfilt_crcf ssb;
static firfilt_cccf side;
static firinterp_crcf up4;
static agc_crcf gain_c;
static agc_rrrf gain_r;

static void liquid_ours(void)
{
	float complex x[BLOCK], low[BASE], band[BASE], wide[OUT], out[OUT];
	nco_crcf_mix_block_down(mixer, input, x, BLOCK);
	firdecim_crcf_execute_block(dec8, x, BASE, low);
	firfilt_crcf_execute_block(ssb, low, BASE, band);
	agc_crcf_execute_block(gain_c, band, BASE, low);
	firinterp_crcf_execute_block(up4, low, BASE, wide);
	nco_crcf_mix_block_up(upper, wide, out, OUT);
	kept += crealf(out[7]);
}

static void liquid_wide(void)
{
	float complex x[BLOCK], low[OUT], band[OUT];
	float re[OUT], out[OUT];
	nco_crcf_mix_block_down(mixer, input, x, BLOCK);
	firdecim_crcf_execute_block(dec2, x, OUT, low);
	firfilt_cccf_execute_block(side, low, OUT, band);
	for (int i = 0; i < OUT; i++)
		re[i] = crealf(band[i]);
	agc_rrrf_execute_block(gain_r, re, OUT, out);
	kept += out[7];
}

static void liquid_setup(void)
{
	float h[129];
	float complex c[129];
	mixer = nco_crcf_create(LIQUID_NCO);
	nco_crcf_set_frequency(mixer, 2 * pi * 10500 / 96000);
	upper = nco_crcf_create(LIQUID_NCO);
	nco_crcf_set_frequency(upper, 2 * pi * 1500 / 48000);
	dec8 = firdecim_crcf_create(8, taps_dec, 48);
	ssb = firfilt_crcf_create(taps_ssb, 169);
	up4 = firinterp_crcf_create(4, taps_up, 24);
	low_pass(h, 129, 20000.0 / 96000);
	dec2 = firdecim_crcf_create(2, h, 129);
	low_pass(h, 129, 1200.0 / 48000);
	for (int i = 0; i < 129; i++)
		c[i] = 2 * h[i] * cexpf(2 * pi * I * 1500 / 48000 * (i - 64));
	side = firfilt_cccf_create(c, 129);
	gain_c = agc_crcf_create();
	gain_r = agc_rrrf_create();
}
#endif

int main(void)
{
	for (int i = 0; i < BLOCK; i++)
		input[i] = 0.2 * cexp(2 * pi * I * 11900 / 96000 * i) + 0.02 * ((rand() / (double)RAND_MAX - 0.5) + I * (rand() / (double)RAND_MAX - 0.5));
	low_pass(taps_dec, 48, 6000.0 / 96000);
	low_pass(taps_ssb, 169, 1350.0 / 12000);
	low_pass(taps_up, 24, 6000.0 / 48000);
	for (int i = 0; i < 24; i++)
		bank[i % 4][5 - i / 4] = 4 * taps_up[i];
	measure("plain_c_ours", plain);
#ifdef LIQUID
	liquid_setup();
	measure("liquid_ours", liquid_ours);
	measure("liquid_wide", liquid_wide);
#endif
	double from = seconds();
	long n = 0;
	while (seconds() - from < 1) {
		macs();
		n += 2L * BLOCK * 169;
	}
	printf("plain_c_mac %.3f ns/MAC\n", (seconds() - from) / n * 1e9);
	return 0;
}
