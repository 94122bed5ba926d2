(() => {
  const drawn = (figure) => {
    const spec = JSON.parse(figure.querySelector('script[type="application/json"]').textContent);
    const options = {
      mode: 'vega-lite', ast: true, actions: false, renderer: 'svg',
      tooltip: false, hover: false, defaultStyle: false,
    };
    return vegaEmbed(figure.querySelector('.live'), spec, options)
      .then(() => figure.classList.add('drawn'));
  };
  document.querySelectorAll('figure.chart').forEach(drawn);
})();
