# Valores, límites, veredictos y lo que falta.

limit-between = de { $low } a { $high }
limit-at_least = al menos { $low }
limit-at_most = como máximo { $high }
limit-none = ningún valor anotado
limit-with_source = { $limit } ({ $source })

source-plate = placa
source-plate_band = banda de uso común en torno al valor de la placa, { $figure }
source-plate_bands = bandas de uso común en torno al valor de la placa
source-valve_or_plate = máximo de la válvula o de la placa
source-plate_or_control = placa o control de llama
source-switch = ajuste del presostato
source-dated = { $source } del { $day }

verdict-within = { $name }: dentro, { $limit }, a { $margin } del límite ({ $source })
verdict-over = { $name }: { $by } por encima de su límite, { $limit } ({ $source })
verdict-under = { $name }: { $by } por debajo de su límite, { $limit } ({ $source })
verdict-too_close = { $name }: a { $distance } de su límite, { $limit } ({ $source }); el instrumento no puede decir de qué lado. Medir de nuevo con un instrumento más fino, o tenerlo por fuera
verdict-not_tested = { $name }: no probado
verdict-no_target = { $name }: no hay valor de la placa ni del fabricante anotado, así que no se juzga. Preguntar al fabricante
verdict-co = { $name }: { $meaning } ({ $source })

verdict_label-within = dentro
verdict_label-over = por encima
verdict_label-under = por debajo
verdict_label-too_close = no se puede decir
verdict_label-not_tested = no probado
verdict_label-no_target = aún sin valor

co_label-note = anotado
co_label-find_source = buscar la fuente
co_label-leave_area = salir de la zona
co_label-everybody_out = todos afuera
co_label-usual = usual
co_label-find_cause = buscar la causa
co_label-shut_down = fuera de servicio
co_band-note = anotado; una lectura suelta no muestra el promedio de un turno
co_band-find_source = algo agrega CO; encontrarlo antes de otro trabajo
co_band-leave_area = salir de la zona, avisar a los demás, ventilar, cerrar la fuente probable si se puede sin riesgo
co_band-everybody_out = sacar a la gente ahora y llamar a emergencias desde afuera
co_band-usual = por debajo de lo usual en la mayoría de los equipos con conducto; leerlo junto con el O2 y su rumbo
co_band-find_cause = buscar la causa, probar de nuevo, avisar
co_band-shut_down = por encima del valor con que se prueban los equipos con conducto; poner fuera de servicio y llamar al supervisor
co_source-note = uso común; el ajuste de la empresa va primero
co_source-find_source = uso común; el ajuste de la empresa va primero
co_source-leave_area = uso común; el ajuste de la empresa va primero
co_source-everybody_out = uso común; el ajuste de la empresa va primero
co_source-usual = 100 ppm libre de aire: uso común
co_source-find_cause = 100 ppm libre de aire: uso común
co_source-shut_down = 400 ppm libre de aire: familia ANSI Z21/Z83 según la prensa del oficio
co_lines-flue = 100 / 400 ppm
co_lines-room = 9 / 35 / 100 ppm

derived-net_stack = temperatura neta de humos
derived-co2 = CO2 calculado del O2
derived-excess_air = exceso de aire
derived-co_air_free = CO libre de aire
derived-efficiency = rendimiento de combustión, bruto
derived-manifold_input = potencia consumida por presión del colector
derived-clocked_input = potencia consumida por el medidor
derived-output = potencia entregada
derived-rise = aumento de temperatura

figures-caption = Valores: encontrado, dejado y límite; ± es dos veces la incertidumbre típica de los instrumentos
figures-as_found = como se encontró
figures-no_limit = sin valor para comparar

gap-flue_temperatures = los cálculos de humos esperan las temperaturas de humos y del aire de combustión
gap-gas_not_settled = el gas suministrado no está resuelto; lo que depende de él no se calcula
gap-flue_sums = no se pueden hacer los cálculos de humos: { $why }
gap-too_much_air = hay demasiado aire en la muestra para juzgar el CO libre de aire; buscar una fuga en la línea de muestreo, probar de nuevo
gap-flue_co = no se puede calcular el CO libre de aire: { $why }
gap-clocking = no se puede calcular el consumo por el medidor: falta una lectura o es imposible
gap-rise = no se puede calcular el aumento: { $why }
gap-room_co = no se puede juzgar el CO del local: { $why }
gap-judging = { $name }: no se puede juzgar: { $why }
impossible-oxygen_of_air = la muestra es casi toda aire
impossible-flue_colder = los humos se leen más fríos que el aire
impossible-no_rise = la salida no se lee más caliente que la entrada
impossible-co2_over_most = el CO2 pasa del máximo posible con este gas
impossible-other = un valor está fuera de lo posible

chart-title = { $figure }, por { $along }
chart-by_hours = horas de encendido
chart-by_days = días
chart-mark_hours = { $day }, { $hours } h
chart-found = encontrado
chart-left = dejado
chart-caps = las barras llegan hasta donde llega la duda del instrumento (dos veces la incertidumbre típica)
chart-co_100 = 100 ppm, uso común
chart-co_400 = 400 ppm, familia ANSI Z21/Z83 según la prensa del oficio
chart-no_limit = ningún límite anotado
chart-sentence = { $figure }: encontrado { $found }; dejado { $left }; límite: { $limits }.
chart-table = Los puntos del gráfico
