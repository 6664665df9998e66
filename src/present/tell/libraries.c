/* All libraries of others: each folder tells of those that it alone includes. */
#include "coaming/libraries.h"

#include "csv/table.h"
#include "graph/graph.h"
#include "ode/sparse.h"
#include "ode/stiff.h"
#include "present/tell/views.h"
#include "read/xml.h"
#include "json/json.h"

bool coaming_library_get(size_t index, coaming_library *library)
{
    static void (*const tell[])(coaming_library *) = {xml_library,   graph_library, json_library,
                                                      ical_library,  csv_library,   stiff_library,
                                                      sparse_library};
    if (index >= sizeof tell / sizeof *tell)
        return false;
    tell[index](library);
    return true;
}
