/* Places of runs on studs at least cost: the inner loop of compaction.

   Plain C99 on the stable interface of Python, buffers in and out. places.py (settled) and slide.py with moves.py
   (slid) hold their twins in Python and say what is computed; both give the very same places. */

#ifndef Py_LIMITED_API
#define Py_LIMITED_API 0x030b0000
#endif
#define PY_SSIZE_T_CLEAN
#include <Python.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define FORM 2 /* of the calls below; the Python side asks for the same number */
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

/* Places of least cost, in of->at; 0 where memory ran out. */
static int solved(Programme *of)
{
    size_t nodes = (size_t)of->runs + 2, arcs = 2 * ((size_t)of->rows + 2 * (size_t)of->runs);
    Py_ssize_t *counts = malloc((3 * nodes + 2 * arcs + nodes) * sizeof(Py_ssize_t));
    int64_t *amounts = malloc((arcs + nodes) * sizeof(int64_t));
    int enough = counts && amounts;
    if (enough) {
        Network on = {0, counts, counts + 4 * nodes, counts + 4 * nodes + arcs, amounts, counts + nodes,
                      counts + 2 * nodes, counts + 3 * nodes};
        settle(of, &on, amounts + arcs);
    }
    free(counts);
    free(amounts);
    return enough;
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
        if (!sound(&of))
            PyErr_SetString(PyExc_ValueError, "a place out of its bounds, or a row about no run");
        else if (!solved(&of))
            PyErr_NoMemory();
        else
            result = PyBytes_FromStringAndSize((const char *)of.at, at.len);
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

/* ---- a loop whose runs along y slide in x: runs, the room that they have, rows, places ---- */

typedef struct {
    Py_ssize_t rows, columns;
    long west, south; /* origin */
    const int32_t *no_node, *no_way; /* rows x (columns + 1) */
    const char *across, *quarter;    /* rows x columns, rows x columns x 2 x 2 */
} Ground;

typedef struct { /* slide.py's order */
    double most, end_leg, half, cold, near, widest, pitch, closer, apart, leg, bulb, aslant, cold_cost, short_cost, back, parts;
} Rules;

typedef struct {
    Py_ssize_t leg;
    double at, start, end, low, high, wall_down, wall_up;
    long down, up;
    int turns_round;
} Run;

typedef struct {
    Py_ssize_t count, rows, most;
    Run *run;
    int32_t *low, *high; /* places that a run may take */
    int32_t *row[4];     /* a, b, least, cost */
    int whole;           /* 0 where memory ran out */
} Slide;

#define HAIR 1e-9
#define MUST -1.0

static double smaller(double a, double b) { return a < b ? a : b; }
static double larger(double a, double b) { return a > b ? a : b; }
static long within(long place, Py_ssize_t count) { return place < 0 ? 0 : place >= count ? (long)count - 1 : place; }

static Py_ssize_t runs_of(const double *xy, Py_ssize_t points, Run *run)
{
    Py_ssize_t count = 0;
    for (Py_ssize_t k = 0; k + 1 < points; k++)
        if (fabs(xy[2 * k + 2] - xy[2 * k]) < HAIR) {
            double start = xy[2 * k + 1], end = xy[2 * k + 3];
            run[count++] = (Run){k, xy[2 * k], start, end, smaller(start, end), larger(start, end), 0, 0, 0, 0, 0};
        }
    for (Py_ssize_t r = 0; r + 1 < count; r++)
        run[r].turns_round = (run[r].end - run[r].start) * (run[r + 1].end - run[r + 1].start) < 0;
    return count;
}

/* How far a run may move by `sign` in x, and the studs of wall that stop it there. */
static long way_of(const Run *run, const Ground *on, const double *xy, Py_ssize_t points, const Rules *by, int sign, double *wall)
{
    long most = (long)by->most, here = lrint(run->at) - on->west, count = 0, beyond = 0, turns, goes = 0;
    long low = within(lrint(run->low) - on->south, on->columns), high = within(lrint(run->high) - on->south, on->columns);
    long bend[2], q[2], r[2];
    int tail = run->leg == 0 || run->leg == points - 2;
    for (int n = 0; n < 2; n++) {
        double end = n ? run->end : run->start, other = n ? run->start : run->end;
        Py_ssize_t next = n ? (run->leg + 2 < points ? run->leg + 2 : points - 1) : (run->leg ? run->leg - 1 : 0);
        bend[n] = within(lrint(end) - on->south, on->columns);
        q[n] = xy[2 * next] > run->at;
        r[n] = other > end;
    }
    for (long step = 0; step <= most + 1; step++) {
        long place = here + sign * step, at = within(place, on->rows), last = within(place - sign, on->rows);
        long edge = sign > 0 ? last : at; /* the stretch between this place and the last one */
        const int32_t *node = on->no_node + at * (on->columns + 1), *way = on->no_way + at * (on->columns + 1);
        long outside = node[high + 1] - node[low], inside = place >= 0 && place < on->rows;
        turns = inside && outside == 0 && way[high] == way[low];
        if (step > 0)
            for (int n = 0; n < 2; n++)
                turns = turns && on->quarter[((at * on->columns + bend[n]) * 2 + q[n]) * 2 + r[n]];
        goes = on->across[edge * on->columns + low] && on->across[edge * on->columns + high];
        beyond = inside ? outside : high - low + 1;
        if (step == 0 && !turns) { /* it stays where it is: what lies beyond is the next place */
            long to = here + sign, then = within(to, on->rows);
            const int32_t *there = on->no_node + then * (on->columns + 1);
            beyond = to >= 0 && to < on->rows ? there[high + 1] - there[low] : high - low + 1;
            break;
        }
        if (step > 0 && !(turns && goes))
            break;
        count = step;
    }
    *wall = count <= most && !tail ? (double)beyond : 0.0;
    return tail ? 0 : count < most ? count : most;
}

static void room_of(Slide *on, const Ground *ground, const double *xy, Py_ssize_t points, const Rules *by)
{
    for (Py_ssize_t n = 0; n < on->count; n++) {
        Run *run = on->run + n;
        run->down = way_of(run, ground, xy, points, by, -1, &run->wall_down);
        run->up = way_of(run, ground, xy, points, by, 1, &run->wall_up);
        if (run->leg == 0 || run->leg == points - 2)
            continue;
        for (int last = 0; last < 2; last++) {
            double end = last ? xy[2 * points - 2] : xy[0];
            if (run->leg != (last ? points - 3 : 1))
                continue;
            long spare = (long)floor(fabs(run->at - end) - by->end_leg + HAIR), *way = run->at > end ? &run->down : &run->up;
            spare = spare < 0 ? 0 : spare;
            *way = *way < spare ? *way : spare;
        }
    }
    for (Py_ssize_t n = 0; n < on->count; n++) {
        on->low[n] = (int32_t)lrint(on->run[n].at - on->run[n].down);
        on->high[n] = (int32_t)lrint(on->run[n].at + on->run[n].up);
    }
}

/* place[b] - place[a] >= least, or else `cost` a stud; kept where some places would break it. */
static void add(Slide *on, Py_ssize_t a, Py_ssize_t b, double least, double cost, const Rules *by)
{
    double low = b < 0 ? 0.0 : on->run[b].at - on->run[b].down, high = a < 0 ? 0.0 : on->run[a].at + on->run[a].up;
    if (!on->whole || !(low - high < least))
        return;
    if (on->rows == on->most) {
        on->most = on->most ? 2 * on->most : 256;
        for (int n = 0; n < 4; n++) {
            int32_t *more = realloc(on->row[n], (size_t)on->most * sizeof(int32_t));
            if (!more) {
                on->whole = 0;
                return;
            }
            on->row[n] = more;
        }
    }
    on->row[0][on->rows] = (int32_t)a;
    on->row[1][on->rows] = (int32_t)b;
    on->row[2][on->rows] = (int32_t)lrint(least);
    on->row[3][on->rows++] = cost < 0 ? -1 : (int32_t)lrint(by->parts * cost);
}

/* The studs beside which another run lies between two places: there a run sees no wall. */
static double between(const Slide *on, const Run *run, double above, double below)
{
    double hidden = 0.0;
    for (const Run *other = on->run; other < on->run + on->count; other++)
        if (other->at > above + HAIR && other->at < below - HAIR)
            hidden += larger(0.0, smaller(run->high, other->high) - larger(run->low, other->low));
    return hidden;
}

static void walls(Slide *on, const Rules *by)
{
    for (Py_ssize_t n = 0; n < on->count; n++) {
        const Run *run = on->run + n;
        double from = run->at - run->down - 1, to = run->at + run->up + 1;
        double below = larger(0.0, run->wall_down - between(on, run, from, run->at));
        double above = larger(0.0, run->wall_up - between(on, run, run->at, to));
        for (int kind = by->half == by->cold; kind < 2; kind++) {
            double most = kind ? by->cold : by->half, weight = kind ? by->cold_cost : 1.0;
            if (below > 0)
                add(on, n, -1, -(from + most), weight * below, by);
            if (above > 0)
                add(on, -1, n, to - most, weight * above, by);
        }
    }
}

static int in_order(const void *a, const void *b)
{
    const Run *one = *(Run *const *)a, *other = *(Run *const *)b;
    if (one->at != other->at)
        return one->at < other->at ? -1 : 1;
    if (one->low != other->low)
        return one->low < other->low ? -1 : 1;
    return (one->leg > other->leg) - (one->leg < other->leg);
}

/* Whether no third run lies between two that face each other, of runs in order. */
static int seen(Run *const *a, Run *const *b)
{
    double low = larger((*a)->low, (*b)->low), high = smaller((*a)->high, (*b)->high);
    for (Run *const *one = a + 1; one < b; one++)
        if ((*one)->at > (*a)->at + HAIR && (*one)->at < (*b)->at - HAIR && (*one)->low < high - HAIR && (*one)->high > low + HAIR)
            return 0;
    return 1;
}

/* Rows about two runs, `lower` the one that comes first in order. */
static void two_runs(Slide *on, Run *const *lower, Run *const *upper, const Rules *by)
{
    const Run *one = *lower, *other = *upper;
    Py_ssize_t a = one - on->run, b = other - on->run;
    double away = other->at - one->at, apart = larger(one->low, other->low) - smaller(one->high, other->high);
    if (!(apart < by->apart))
        return;
    add(on, a, b, smaller(away, by->apart), MUST, by);
    if (away < HAIR)
        add(on, b, a, away, MUST, by);
    int joined = one->leg - other->leg == 2 || other->leg - one->leg == 2;
    if (by->bulb >= 0)
        joined = joined && !on->run[a < b ? a : b].turns_round;
    if (by->aslant > 0)
        joined = joined && smaller(one->high - one->low, other->high - other->low) <= by->leg;
    if (joined)
        add(on, a, b, by->leg, by->short_cost, by);
    if (!(apart < 0 && away <= by->near && seen(lower, upper)))
        return;
    add(on, b, a, -by->pitch, -apart, by);
    if (by->closer > 0)
        add(on, a, b, by->pitch, -apart, by);
    add(on, b, a, -by->widest, by->cold_cost * -apart, by);
}

static void pairs(Slide *on, const Rules *by)
{
    double most = 2 * by->most + larger(by->apart, by->leg);
    Run **order = malloc((size_t)(on->count + 1) * sizeof(Run *));
    on->whole = on->whole && order;
    if (!order)
        return;
    for (Py_ssize_t n = 0; n < on->count; n++)
        order[n] = on->run + n;
    qsort(order, (size_t)on->count, sizeof(Run *), in_order);
    for (Py_ssize_t n = 0; n < on->count; n++)
        for (Py_ssize_t m = n + 1; m < on->count && order[m]->at - order[n]->at <= most; m++)
            two_runs(on, order + n, order + m, by);
    free(order);
}

/* What lies on either side of a turn-round leaves room for it and for the distances beside it. */
static void bulbs(Slide *on, const Rules *by)
{
    for (Py_ssize_t n = 0; n + 1 < on->count; n++) {
        const Run *one = on->run + n, *next = one + 1;
        if (!one->turns_round)
            continue;
        double west = smaller(one->at, next->at), east = larger(one->at, next->at);
        double way = one->start - one->end, back = (way > 0) - (way < 0), tip = one->end;
        double low = smaller(tip + by->back * back, tip - back), high = larger(tip + by->back * back, tip - back);
        Py_ssize_t below = -1, above = -1;
        for (Py_ssize_t k = 0; k < on->count; k++) {
            const Run *other = on->run + k;
            if (!(other->low < high && other->high > low))
                continue;
            if (other->at < west && (below < 0 || other->at > on->run[below].at))
                below = k;
            if (other->at > east && (above < 0 || other->at < on->run[above].at))
                above = k;
        }
        double least = by->leg + (below >= 0 ? by->bulb : smaller(one->at - one->down, next->at - next->down));
        least += above >= 0 ? by->bulb : -larger(one->at + one->up, next->at + next->up);
        add(on, below, above, ceil(least - HAIR), by->short_cost, by);
    }
}

/* The places of least cost go into the loop's corners; 0 where memory ran out. */
static int slide(Slide *on, const Ground *ground, double *xy, Py_ssize_t points, const Rules *by)
{
    on->count = runs_of(xy, points, on->run);
    room_of(on, ground, xy, points, by);
    walls(on, by);
    pairs(on, by);
    if (by->bulb >= 0)
        bulbs(on, by);
    if (!on->rows)
        return on->whole;
    int32_t *at = malloc((size_t)on->count * sizeof(int32_t));
    Programme of = {on->count, on->rows, on->low, on->high, on->row[0], on->row[1], on->row[2], on->row[3], at};
    for (Py_ssize_t n = 0; at && n < on->count; n++)
        at[n] = (int32_t)lrint(on->run[n].at);
    on->whole = on->whole && at && solved(&of);
    for (Py_ssize_t n = 0; on->whole && n < on->count; n++)
        xy[2 * on->run[n].leg] = xy[2 * on->run[n].leg + 2] = at[n];
    free(at);
    return on->whole;
}

/* slid(corners, no_node, no_way, across, quarter, (rows, columns, west, south), rules) -> corners as float64 */
static PyObject *slid(PyObject *self, PyObject *args)
{
    Py_buffer xy, no_node, no_way, across, quarter, rules;
    Ground ground;
    Rules by;
    PyObject *result = NULL;
    if (!PyArg_ParseTuple(args, "y*y*y*y*y*(nnll)y*", &xy, &no_node, &no_way, &across, &quarter, &ground.rows,
                          &ground.columns, &ground.west, &ground.south, &rules))
        return NULL;
    Py_ssize_t points = xy.len / 16, studs = ground.rows * ground.columns, sums = 4 * ground.rows * (ground.columns + 1);
    Slide on = {0, 0, 0, malloc((size_t)points * sizeof(Run)), malloc((size_t)points * 4), malloc((size_t)points * 4),
                {NULL, NULL, NULL, NULL}, 1};
    double *moved = malloc((size_t)xy.len);
    if (points < 2 || studs < 1 || no_node.len != sums || no_way.len != sums || across.len != studs ||
        quarter.len != 4 * studs || rules.len != sizeof(Rules))
        PyErr_SetString(PyExc_ValueError, "arrays of different sizes");
    else if (!on.run || !on.low || !on.high || !moved)
        PyErr_NoMemory();
    else {
        memcpy(moved, xy.buf, (size_t)xy.len);
        memcpy(&by, rules.buf, sizeof(Rules));
        ground.no_node = no_node.buf;
        ground.no_way = no_way.buf;
        ground.across = across.buf;
        ground.quarter = quarter.buf;
        if (slide(&on, &ground, moved, points, &by))
            result = PyBytes_FromStringAndSize((const char *)moved, xy.len);
        else
            PyErr_NoMemory();
    }
    for (int n = 0; n < 4; n++)
        free(on.row[n]);
    free(on.run);
    free(on.low);
    free(on.high);
    free(moved);
    PyBuffer_Release(&xy);
    PyBuffer_Release(&no_node);
    PyBuffer_Release(&no_way);
    PyBuffer_Release(&across);
    PyBuffer_Release(&quarter);
    PyBuffer_Release(&rules);
    return result;
}

static PyMethodDef methods[] = {
    {"settled", settled, METH_VARARGS, "Places of least cost."},
    {"slid", slid, METH_VARARGS, "A loop whose runs have slid to their places of least cost."},
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
