/* Places of runs on studs at least cost: the inner loop of compaction.

   Plain C99 on the stable interface of Python, buffers in and out. places.py holds its twin in Python and
   says what is computed; both give the very same places. */

#ifndef Py_LIMITED_API
#define Py_LIMITED_API 0x030b0000
#endif
#define PY_SSIZE_T_CLEAN
#include <Python.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FORM 1 /* of the call below; the Python side asks for the same number */
#define HARD ((int64_t)1 << 26)

typedef struct {
    Py_ssize_t runs, rows;
    const int32_t *low, *high, *a, *b, *least, *cost; /* cost < 0: the row must hold */
    int32_t *at;
} Programme;

/* ---- a network: nodes are runs, then source and sink; arcs in pairs, one the other's reverse ---- */

typedef struct {
    Py_ssize_t arcs, *head, *next, *to;
    int64_t *left; /* what an arc can still take */
    Py_ssize_t *level, *queue, *current;
} Network;

static void join(Network *on, Py_ssize_t from, Py_ssize_t to, int64_t most)
{
    for (int back = 0; back < 2; back++) {
        on->to[on->arcs] = back ? from : to;
        on->left[on->arcs] = back ? 0 : most;
        on->next[on->arcs] = on->head[back ? to : from];
        on->head[back ? to : from] = on->arcs++;
    }
}

/* Levels by breadth first from the source; whether the sink is reached. */
static int levels(Network *on, Py_ssize_t nodes)
{
    Py_ssize_t source = nodes - 2, sink = nodes - 1, first = 0, last = 0;
    for (Py_ssize_t n = 0; n < nodes; n++)
        on->level[n] = -1;
    on->level[source] = 0;
    on->queue[last++] = source;
    while (first < last) {
        Py_ssize_t node = on->queue[first++];
        for (Py_ssize_t e = on->head[node]; e >= 0; e = on->next[e])
            if (on->left[e] > 0 && on->level[on->to[e]] < 0) {
                on->level[on->to[e]] = on->level[node] + 1;
                on->queue[last++] = on->to[e];
            }
    }
    return on->level[sink] >= 0;
}

/* One shortest path filled, the arcs of it in `queue`; what it took. */
static int64_t filled(Network *on, Py_ssize_t nodes)
{
    Py_ssize_t sink = nodes - 1, node = nodes - 2, depth = 0, *path = on->queue;
    while (node != sink) {
        Py_ssize_t e = on->current[node];
        while (e >= 0 && !(on->left[e] > 0 && on->level[on->to[e]] == on->level[node] + 1))
            e = on->next[e];
        on->current[node] = e;
        if (e >= 0) {
            path[depth++] = e;
            node = on->to[e];
        } else if (depth) { /* no way on: that node is given up */
            on->level[node] = -1;
            node = on->to[path[--depth] ^ 1];
        } else
            return 0;
    }
    int64_t most = on->left[path[0]];
    for (Py_ssize_t n = 1; n < depth; n++)
        most = on->left[path[n]] < most ? on->left[path[n]] : most;
    for (Py_ssize_t n = 0; n < depth; n++) {
        on->left[path[n]] -= most;
        on->left[path[n] ^ 1] += most;
    }
    return most;
}

/* Dinic's algorithm; afterwards a level tells whether the source still reaches a node. */
static int64_t greatest_flow(Network *on, Py_ssize_t nodes)
{
    int64_t total = 0, more;
    while (levels(on, nodes)) {
        memcpy(on->current, on->head, (size_t)nodes * sizeof(Py_ssize_t));
        while ((more = filled(on, nodes)) > 0)
            total += more;
    }
    return total;
}

/* ---- one stud up (sign 1) or down (-1) for the set of runs that gains most ---- */

static int64_t network_of(const Programme *of, int sign, Network *on, int64_t *gain)
{
    Py_ssize_t source = of->runs, sink = of->runs + 1;
    int64_t wished = 0;
    memset(gain, 0, (size_t)of->runs * sizeof(int64_t));
    on->arcs = 0;
    for (Py_ssize_t n = 0; n < of->runs + 2; n++)
        on->head[n] = -1;
    for (Py_ssize_t r = 0; r < of->rows; r++) {
        int32_t from = of->a[r], to = of->b[r], least = of->least[r];
        int32_t apart = (to < 0 ? 0 : of->at[to]) - (from < 0 ? 0 : of->at[from]);
        int32_t ahead = sign > 0 ? to : from, behind = sign > 0 ? from : to; /* ahead moves away, behind draws near */
        int64_t cost = of->cost[r] < 0 ? HARD : of->cost[r];
        if (apart < least) {
            if (ahead >= 0)
                gain[ahead] += cost;
            if (behind >= 0)
                gain[behind] -= cost;
        } else if (apart == least && behind >= 0) {
            if (ahead >= 0)
                join(on, behind, ahead, cost);
            else
                gain[behind] -= cost;
        }
    }
    for (Py_ssize_t n = 0; n < of->runs; n++) {
        if (of->at[n] == (sign > 0 ? of->high[n] : of->low[n]))
            join(on, n, sink, HARD);
        if (gain[n] > 0) {
            join(on, source, n, gain[n]);
            wished += gain[n];
        } else if (gain[n] < 0)
            join(on, n, sink, -gain[n]);
    }
    return wished;
}

/* The smallest set of greatest gain moves; whether any did. */
static int moved(Programme *of, int sign, Network *on, int64_t *gain)
{
    int64_t wished = network_of(of, sign, on, gain);
    if (wished == 0 || greatest_flow(on, of->runs + 2) == wished)
        return 0;
    for (Py_ssize_t n = 0; n < of->runs; n++)
        if (on->level[n] >= 0)
            of->at[n] += sign;
    return 1;
}

static void settle(Programme *of, Network *on, int64_t *gain)
{
    for (int still = 0, sign = 1; still < 2; sign = -sign) {
        int any = 0;
        while (moved(of, sign, on, gain))
            any = 1;
        still = any ? 0 : still + 1;
    }
}

static int sound(const Programme *of)
{
    for (Py_ssize_t n = 0; n < of->runs; n++)
        if (of->at[n] < of->low[n] || of->at[n] > of->high[n])
            return 0;
    for (Py_ssize_t r = 0; r < of->rows; r++)
        if (of->a[r] < -1 || of->a[r] >= of->runs || of->b[r] < -1 || of->b[r] >= of->runs)
            return 0;
    return 1;
}

static PyObject *solved(Programme *of)
{
    size_t nodes = (size_t)of->runs + 2, arcs = 2 * ((size_t)of->rows + 2 * (size_t)of->runs);
    Py_ssize_t *counts = malloc((3 * nodes + 2 * arcs + nodes) * sizeof(Py_ssize_t));
    int64_t *amounts = malloc((arcs + nodes) * sizeof(int64_t));
    PyObject *result = NULL;
    if (!counts || !amounts)
        PyErr_NoMemory();
    else {
        Network on = {0, counts, counts + 4 * nodes, counts + 4 * nodes + arcs, amounts, counts + nodes,
                      counts + 2 * nodes, counts + 3 * nodes};
        settle(of, &on, amounts + arcs);
        result = PyBytes_FromStringAndSize((const char *)of->at, of->runs * 4);
    }
    free(counts);
    free(amounts);
    return result;
}

/* settled(low, high, at, a, b, least, cost) -> places as int32 */
static PyObject *settled(PyObject *self, PyObject *args)
{
    Py_buffer low, high, at, a, b, least, cost;
    PyObject *result = NULL;
    if (!PyArg_ParseTuple(args, "y*y*y*y*y*y*y*", &low, &high, &at, &a, &b, &least, &cost))
        return NULL;
    Programme of = {at.len / 4, a.len / 4, low.buf, high.buf, a.buf, b.buf, least.buf, cost.buf, malloc((size_t)at.len + 1)};
    if (!of.at)
        PyErr_NoMemory();
    else if (low.len != at.len || high.len != at.len || b.len != a.len || least.len != a.len || cost.len != a.len)
        PyErr_SetString(PyExc_ValueError, "arrays of different sizes");
    else {
        memcpy(of.at, at.buf, (size_t)at.len);
        if (sound(&of))
            result = solved(&of);
        else
            PyErr_SetString(PyExc_ValueError, "a place out of its bounds, or a row about no run");
    }
    free(of.at);
    PyBuffer_Release(&low);
    PyBuffer_Release(&high);
    PyBuffer_Release(&at);
    PyBuffer_Release(&a);
    PyBuffer_Release(&b);
    PyBuffer_Release(&least);
    PyBuffer_Release(&cost);
    return result;
}

static PyMethodDef methods[] = {
    {"settled", settled, METH_VARARGS, "Places of least cost."},
    {NULL, NULL, 0, NULL},
};

static int started(PyObject *module)
{
    return PyModule_AddIntConstant(module, "FORM", FORM);
}

static PyModuleDef_Slot slots[] = {{Py_mod_exec, (void *)started}, {0, NULL}};

static struct PyModuleDef module = {
    PyModuleDef_HEAD_INIT, "_places", "The inner loop of compaction.", 0, methods, slots, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit__places(void)
{
    return PyModuleDef_Init(&module);
}
