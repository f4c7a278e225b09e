/* Pieces cut from panels, one after the other: the inner loop of the laying plan.

   Plain C99 on the stable interface of Python, buffers in and out. packing.py holds its twin in Python and
   says what is computed; both give the very same cuts. */

#ifndef Py_LIMITED_API
#define Py_LIMITED_API 0x030b0000
#endif
#define PY_SSIZE_T_CLEAN
#include <Python.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FORM 1 /* of the call below; the Python side asks for the same number */
#define EPS 1e-6
#define SLACK 1e-3 /* what a whole panel may lack */

typedef struct {
    double box[4]; /* west, south, east, north */
    int32_t panel, made;
} Part;

typedef struct {
    Py_ssize_t pieces, free, dust, cuts;
    int32_t panels, made;
    double long_, wide, lap, least_long, least_wide;
    int split; /* 0: the larger off-cut, 1: across first, 2: along first */
    const double *boxes;
    const int32_t *order;
    Part *parts, *dusty;
    int32_t *places; /* panel, shift east, shift north */
    double *noted;   /* panel, part, whether across, where */
} Job;

static int no_stud(double low, double high, double start, double end)
{
    return ceil(low - start - EPS) > floor(high - end + EPS);
}

static double shift(double low, double high, double start, double end)
{
    double least = ceil(low - start - EPS), most = floor(high - end + EPS);
    return start + least - low <= high - end - most + EPS ? least : most;
}

static int whole(const Job *of, const double *p)
{
    return p[2] - p[0] >= of->long_ - SLACK && p[3] - p[1] >= of->wide - SLACK;
}

/* The off-cut that fits a piece with the least to spare, -1 for none. */
static Py_ssize_t closest(const Job *of, const double *p)
{
    double best = INFINITY, w, h, own = (p[2] - p[0]) * (p[3] - p[1]);
    Py_ssize_t at = -1;
    for (Py_ssize_t k = 0; k < of->free; k++) {
        const double *f = of->parts[k].box;
        w = f[2] - f[0];
        h = f[3] - f[1];
        if (w < p[2] - p[0] - EPS || h < p[3] - p[1] - EPS || w * h - own >= best - EPS)
            continue;
        if (no_stud(f[0], f[2], p[0], p[2]) || no_stud(f[1], f[3], p[1], p[3]))
            continue;
        best = w * h - own;
        at = k;
    }
    return at;
}

static double greater(double a, double b)
{
    return a >= b ? a : b;
}

static int across_first(const Job *of, const double *f, const double *p)
{
    if (of->split)
        return of->split == 1;
    double beside = greater(p[0] - f[0], f[2] - p[2]), above = greater(p[1] - f[1], f[3] - p[3]);
    double across = greater(beside * (f[3] - f[1]), above * (p[2] - p[0]));
    return across >= above * (f[2] - f[0]) && across >= beside * (p[3] - p[1]);
}

/* Cuts a part down to a piece; what is cut away is kept where the smallest piece might fit it. */
static void cut_down(Job *of, Part part, const double *p)
{
    int first = across_first(of, part.box, p) ? 0 : 1;
    for (int turn = 0; turn < 4; turn++) {
        int axis = turn < 2 ? first : 1 - first, side = axis + 2 * (turn % 2);
        double at = p[side];
        if (fabs(at - part.box[side]) <= EPS)
            continue;
        double *note = of->noted + 7 * of->cuts++;
        note[0] = part.panel;
        memcpy(note + 1, part.box, sizeof part.box);
        note[5] = axis == 0;
        note[6] = at;
        Part away = part;
        away.box[side ^ 2] = at;
        part.box[side] = at;
        away.made = ++of->made;
        int fits = away.box[2] - away.box[0] >= of->least_long && away.box[3] - away.box[1] >= of->least_wide;
        if (fits)
            of->parts[of->free++] = away;
        else
            of->dusty[of->dust++] = away;
    }
}

static void run(Job *of)
{
    of->least_long = of->least_wide = INFINITY;
    for (Py_ssize_t i = 0; i < of->pieces; i++) {
        const double *p = of->boxes + 4 * i;
        of->least_long = p[2] - p[0] < of->least_long ? p[2] - p[0] : of->least_long;
        of->least_wide = p[3] - p[1] < of->least_wide ? p[3] - p[1] : of->least_wide;
    }
    of->least_long -= EPS;
    of->least_wide -= EPS;
    for (Py_ssize_t k = 0; k < of->pieces; k++) {
        int32_t i = of->order[k];
        const double *p = of->boxes + 4 * i;
        Py_ssize_t at = whole(of, p) ? -1 : closest(of, p);
        Part part = {{-of->lap, -of->lap, of->long_, of->wide}, 0, 0};
        if (at >= 0) {
            part = of->parts[at];
            memmove(of->parts + at, of->parts + at + 1, (size_t)(--of->free - at) * sizeof(Part));
        } else
            part.panel = of->panels++;
        double kx = shift(part.box[0], part.box[2], p[0], p[2]), ky = shift(part.box[1], part.box[3], p[1], p[3]);
        int32_t *place = of->places + 3 * i;
        place[0] = part.panel;
        place[1] = (int32_t)kx;
        place[2] = (int32_t)ky;
        double lies[4] = {p[0] + kx, p[1] + ky, p[2] + kx, p[3] + ky};
        cut_down(of, part, lies);
    }
}

static int by_making(const void *a, const void *b)
{
    int32_t one = ((const Part *)a)->made, other = ((const Part *)b)->made;
    return (one > other) - (one < other);
}

/* (panels, places as int32, off-cuts and cuts as doubles) */
static PyObject *told(Job *of)
{
    memcpy(of->parts + of->free, of->dusty, (size_t)of->dust * sizeof(Part));
    Py_ssize_t left = of->free + of->dust;
    qsort(of->parts, (size_t)left, sizeof(Part), by_making);
    double *rows = malloc((size_t)left * 5 * sizeof(double) + 1);
    if (!rows)
        return PyErr_NoMemory();
    for (Py_ssize_t k = 0; k < left; k++) {
        rows[5 * k] = of->parts[k].panel;
        memcpy(rows + 5 * k + 1, of->parts[k].box, 4 * sizeof(double));
    }
    PyObject *made = Py_BuildValue("iy#y#y#", (int)of->panels, (const char *)of->places, of->pieces * 12,
                                   (const char *)rows, left * 40, (const char *)of->noted, of->cuts * 56);
    free(rows);
    return made;
}

static int sound(const Job *of)
{
    for (Py_ssize_t k = 0; k < of->pieces; k++)
        if (of->order[k] < 0 || of->order[k] >= of->pieces)
            return 0;
    return 1;
}

/* cut_up(boxes, order, long, wide, lap, split) -> (panels, places, off-cuts, cuts) */
static PyObject *cut_up(PyObject *self, PyObject *args)
{
    Py_buffer boxes, order;
    double long_, wide, lap;
    int split;
    PyObject *result = NULL;
    if (!PyArg_ParseTuple(args, "y*y*dddi", &boxes, &order, &long_, &wide, &lap, &split))
        return NULL;
    Py_ssize_t n = order.len / 4;
    size_t most = 4 * (size_t)n + 1;
    Job of = {.pieces = n, .long_ = long_, .wide = wide, .lap = lap, .split = split, .boxes = boxes.buf,
              .order = order.buf};
    of.parts = malloc(most * sizeof(Part));
    of.dusty = malloc(most * sizeof(Part));
    of.places = calloc((size_t)n * 3 + 1, sizeof(int32_t));
    of.noted = malloc(most * 7 * sizeof(double));
    if (!of.parts || !of.dusty || !of.places || !of.noted)
        PyErr_NoMemory();
    else if (boxes.len != n * 32 || !sound(&of))
        PyErr_SetString(PyExc_ValueError, "an order that is not one of these pieces");
    else {
        run(&of);
        result = told(&of);
    }
    free(of.parts);
    free(of.dusty);
    free(of.places);
    free(of.noted);
    PyBuffer_Release(&boxes);
    PyBuffer_Release(&order);
    return result;
}

static PyMethodDef methods[] = {
    {"cut_up", cut_up, METH_VARARGS, "Panels, places, off-cuts and cuts of pieces in an order."},
    {NULL, NULL, 0, NULL},
};

static int started(PyObject *module)
{
    return PyModule_AddIntConstant(module, "FORM", FORM);
}

static PyModuleDef_Slot slots[] = {{Py_mod_exec, (void *)started}, {0, NULL}};

static struct PyModuleDef module = {
    PyModuleDef_HEAD_INIT, "_cutting", "The inner loop of the laying plan.", 0, methods, slots, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit__cutting(void)
{
    return PyModuleDef_Init(&module);
}
